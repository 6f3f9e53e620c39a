// Generate writes the files of the invented demo trial into a folder.
//
//	go run ./testdata/demotrial/generate -o testdata/demo
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"vinetally/testdata/demotrial"
)

func main() {
	if err := run(os.Args[1:], os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// run writes every file of the trial into the folder that -o names, over what
// is there.
func run(args []string, usage io.Writer) error {
	flags := flag.NewFlagSet("generate", flag.ContinueOnError)
	flags.SetOutput(usage)
	folder := flags.String("o", "", "the folder to write into")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if *folder == "" || flags.NArg() > 0 {
		return fmt.Errorf("name one folder to write into: generate -o testdata/demo")
	}
	if err := os.MkdirAll(*folder, 0o755); err != nil {
		return fmt.Errorf("making the folder: %w", err)
	}
	for name, content := range demotrial.Generate() {
		if err := os.WriteFile(filepath.Join(*folder, name), content, 0o644); err != nil {
			return fmt.Errorf("writing %s: %w", name, err)
		}
	}
	return nil
}

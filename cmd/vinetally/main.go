// Command vinetally records fruit counts, pickings and losses of small tomato trials, accounts for every fruit and writes
// the report.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	_ "time/tzdata" // zones work on machines that carry none

	"vinetally/api/csvfile"
)

// Exit statuses of the command.
const (
	exitDone    = 0
	exitRefused = 1 // refused or failed: one line on standard error says what, where and how to mend
	exitUsage   = 2 // the command line is wrong
)

// commands is the whole command line.
type commands struct {
	Demo   demoCommand   `cmd:"" help:"A made-up trial in a scratch database: the season's answer in words, its report, and the pages served until interrupted."`
	Serve  serveCommand  `cmd:"" help:"Serve the REST interface and the pages."`
	Import importCommand `cmd:"" help:"Read CSV files, a folder of them or single ones, all or nothing."`
	Export exportCommand `cmd:"" help:"Write every record as CSV files into an empty folder."`
	Backup backupCommand `cmd:"" help:"Write a copy of the database, also while a server writes to it."`
	Check  checkCommand  `cmd:"" help:"Look through the whole database for damage; nothing is changed."`
	Report reportCommand `cmd:"" help:"Write the report of a season or of a plant: a page that opens with the network off, JSON for scripts, or its tables as CSV."`
}

// streams is where a command reads and writes.
type streams struct {
	in       io.Reader // nil if there is none
	out, err io.Writer
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
}

// run is the program with its surroundings handed in; it returns the exit status.
func run(ctx context.Context, args []string, s streams) int {
	var cli commands
	status := -1
	parser, err := kong.New(&cli,
		kong.Name("vinetally"),
		kong.Description("Harvest yield and ripeness tracking for small tomato trials."),
		kong.Writers(s.out, s.err),
		kong.Exit(func(code int) { status = code }),
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.Bind(s),
		kong.UsageOnError(),
	)
	if err != nil {
		fmt.Fprintln(s.err, "vinetally:", err)
		return exitRefused
	}
	command, err := parser.Parse(args)
	if status >= 0 { // help was asked for and printed
		return status
	}
	if err != nil {
		fmt.Fprintf(s.err, "vinetally: %s; see vinetally --help\n", err)
		return exitUsage
	}
	if err := command.Run(); err != nil {
		tellFailure(s.err, err)
		return exitRefused
	}
	return exitDone
}

// tellFailure writes one line that says what went wrong, where, and how to mend it; the faults of an import take a line
// each, FILE:LINE: column: what, so that editors can jump there.
func tellFailure(w io.Writer, err error) {
	var faults *csvfile.FaultError
	switch {
	case errors.As(err, &faults):
		for _, f := range faults.Faults {
			fmt.Fprintln(w, f)
		}
		fmt.Fprintf(w, "vinetally: nothing was stored; mend %s and import again\n", faultWords(faults))
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(w, "vinetally: interrupted before it was done; run it again (a broken-off import stores nothing)")
	case errors.Is(err, syscall.ENOSPC):
		fmt.Fprintf(w, "vinetally: disk full: free some space and try again: %s\n", oneLine(err.Error()))
	default:
		fmt.Fprintf(w, "vinetally: %s\n", oneLine(err.Error()))
	}
}

func faultWords(e *csvfile.FaultError) string {
	switch {
	case e.More:
		return fmt.Sprintf("these %d faults (there may be more)", len(e.Faults))
	case len(e.Faults) == 1:
		return "this fault"
	}
	return fmt.Sprintf("these %d faults", len(e.Faults))
}

// oneLine joins the lines of joined errors.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '\n' }), "; ")
}

# Read by compare.sh and beside.sh with their arguments: the number of rows, the folder for the files, the program, and the files.
rows=${1:-1000000}
here=$(cd "$(dirname "$0")" && pwd)
dir=${2:-$(mktemp -d)}
mkdir -p "$dir"
program=${VINETALLY:-}
if [ -z "$program" ]; then
    program=$dir/vinetally
    (cd "$here/../.." && go build -o "$program" ./cmd/vinetally)
fi
awk -v rows="$rows" -v dir="$dir" -f "$here/rows.awk"

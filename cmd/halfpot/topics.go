package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// topics are the help pages that belong to no command.
func topics() []*cobra.Command {
	return []*cobra.Command{
		{Use: "exit-codes", Short: "what the exit status tells a script", Long: exitCodesPage()},
		{Use: "files", Short: "what stands in the files that halfpot load reads", Long: filesPage()},
		{Use: "output", Short: "tables, JSON and CSV, and what scripts may rely on", Long: outputPage},
	}
}

func exitCodesPage() string {
	var b strings.Builder
	b.WriteString("Every command ends with one of these statuses:\n\n")
	for _, code := range slices.Sorted(maps.Keys(exitMeaning)) {
		fmt.Fprintf(&b, "  %-4d %s\n", code, exitMeaning[code])
	}
	b.WriteString(`
Changes are all or nothing: whatever the status, a command has either done all
it was asked or left everything as it was. Ctrl-C during a search for a plan
shows the best plan found so far, with how far from cheapest it can be at most,
and ends with status 4.`)
	return b.String()
}

const outputPage = `Results go to standard output, everything else to standard error.

  --format table   aligned text for people (the default)
  --format json    one JSON document
  --format csv     the main list as CSV (RFC 4180) with a header row
  --format exact-csv   the same for programs: text as it stands

A spreadsheet runs a cell that begins with = + - @, a tab or a line break. So csv
puts an apostrophe before such text (and before one that is there already), and
halfpot load takes it away again; exact-csv leaves text alone. Characters that
would steer a terminal are shown as a replacement character, in JSON as \uXXXX.

What scripts may rely on: keys and columns are added, never renamed or moved
to another meaning. An empty list is []. Money is an object of a decimal string
and an ISO 4217 code, {"amount": "12.50", "currency": "EUR"}. A volume is a
number with its unit in the key ({"ml": 12.5}; counted things {"items": 1}). Days are ISO 8601. With
--format json an error is one JSON object on standard error with the keys
error, hints and exit_status.

Colour swatches and emphasis show only on a terminal that has colours, and
never with --no-colour or with NO_COLOR set. In a pipe, tables are plain text
at full width and nothing is said on standard error unless something is wrong.`

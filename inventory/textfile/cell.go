package textfile

import (
	"strings"
	"unicode"
)

// formulaMarks begin a cell that some spreadsheet runs: = + - @ and their
// full-width forms, as listed by OWASP ("CSV Injection", owasp.org). Blanks
// before them are passed over by some, so they count for nothing here.
const formulaMarks = "=+-@＝＋－＠"

// runs reports whether a spreadsheet may take a cell for more than text, or
// would lose an apostrophe that it begins with.
func runs(s string) bool {
	if s == "" {
		return false
	}
	if strings.IndexByte("\t\r\n'", s[0]) >= 0 {
		return true
	}
	s = strings.TrimLeftFunc(s, unicode.IsSpace)
	return s != "" && strings.ContainsAny(firstRune(s), formulaMarks)
}

func firstRune(s string) string {
	for i := range s {
		if i > 0 {
			return s[:i]
		}
	}
	return s
}

// Protect keeps a spreadsheet from running a cell of text as a formula: an
// apostrophe goes before what begins with = + - @, a tab, a line break or an
// apostrophe. [Unprotect] takes it away again, so nothing is lost.
func Protect(s string) string {
	if runs(s) {
		return "'" + s
	}
	return s
}

// Unprotect is a cell as it was before [Protect].
func Unprotect(s string) string {
	if len(s) > 1 && s[0] == '\'' && runs(s[1:]) {
		return s[1:]
	}
	return s
}

package inventory

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// MaxText is the longest text of one field in bytes.
const MaxText = 4096

// CheckText holds a text against the one rule for names, notes and whatever else
// a painter writes, in files and by hand: UTF-8 of at most MaxText bytes without
// control characters but line feed and tab. Blanks at its ends are taken off by
// whoever reads it; see [CleanText].
func CheckText(s string) (found, expected string, ok bool) {
	if len(s) > MaxText {
		return fmt.Sprintf("%d bytes", len(s)), fmt.Sprintf("at most %d bytes of text", MaxText), false
	}
	if !utf8.ValidString(s) {
		return "bytes that are not UTF-8", "text in UTF-8", false
	}
	for i, c := range s {
		if c < ' ' && c != '\n' && c != '\t' || c >= 0x7f && c < 0xa0 {
			return fmt.Sprintf("control character %#02x after %d bytes", c, i), "text", false
		}
	}
	return "", "", true
}

// CleanText takes the blanks off the ends of a text.
func CleanText(s string) string { return strings.TrimSpace(s) }

// text reports a text that breaks the rule.
func (k *checker) text(path, s string) {
	if found, expected, ok := CheckText(s); !ok {
		k.add(path, found, expected)
	} else if s != CleanText(s) {
		k.add(path, Quoted(s), "a text without blanks at its ends")
	}
}

// name reports a name that is missing or breaks the rule.
func (k *checker) name(path, s, what string) {
	if CleanText(s) == "" {
		k.add(path, "nothing", what)
		return
	}
	k.text(path, s)
}

// Word is how one of the words of a list, such as the types of paint, is written,
// however it was typed: "One Coat" is one-coat.
func Word(typed string) string { return strings.Join(strings.Fields(strings.ToLower(typed)), "-") }

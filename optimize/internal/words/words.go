// Package words puts ids and lists of them into messages.
package words

import (
	"fmt"
	"strings"
)

// Quote shows an id from a file in a message, shortened if it is very long.
func Quote(s string) string {
	if runes := []rune(s); len(runes) > 60 {
		return fmt.Sprintf("%q...", string(runes[:60]))
	}
	return fmt.Sprintf("%q", s)
}

// Quoted lists ids as "a", "b" and "c", and counts the rest of a long list.
func Quoted(ids []string) string {
	const most = 6
	var words []string
	for i, id := range ids {
		if i == most && len(ids) > most+1 {
			words = append(words, fmt.Sprintf("%d more", len(ids)-most))
			break
		}
		words = append(words, Quote(id))
	}
	return Join(words, "and")
}

func Join(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}

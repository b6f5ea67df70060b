package problemfile

import (
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strings"

	"halfpot/optimize"
)

// Write writes a problem in the form that Read takes, one
// record a line. Errors are those of w.
func Write(w io.Writer, p *optimize.Problem) error {
	var j jsonLines
	j.field("currency", p.Currency)
	list(&j, "paints", p.Paints)
	if len(p.Groups) > 0 {
		list(&j, "groups", p.Groups)
	}
	list(&j, "needs", withLists(p.Needs))
	list(&j, "products", p.Products)
	list(&j, "shops", p.Shops)
	list(&j, "offers", p.Offers)
	if p.Rules != (optimize.Rules{}) {
		j.field("rules", p.Rules)
	}
	return j.write(w)
}

// withLists makes an option that uses nothing show an empty list, not null.
func withLists(needs []optimize.Need) []optimize.Need {
	needs = slices.Clone(needs)
	for n := range needs {
		needs[n].Options = slices.Clone(needs[n].Options)
		for o := range needs[n].Options {
			if option := &needs[n].Options[o]; option.Uses == nil {
				option.Uses = []optimize.Use{}
			}
		}
	}
	return needs
}

// WriteResult writes a result as JSON, one record a line. A plan shows all
// of its lists, even the empty ones; a result without a plan shows none of
// them, and an infeasible one its reasons. Errors are those of w.
func WriteResult(w io.Writer, r *optimize.Result) error {
	var j jsonLines
	j.field("status", r.Status)
	j.field("currency", r.Currency)
	if r.Totals != nil {
		list(&j, "choices", r.Choices)
		list(&j, "buy", r.Buy)
		list(&j, "shops", r.Shops)
		j.field("totals", r.Totals)
		list(&j, "paints", r.Paints)
		if len(r.Finished) > 0 {
			list(&j, "finished", r.Finished)
		}
	}
	if r.Status == optimize.Infeasible {
		list(&j, "reasons", r.Reasons)
	}
	j.field("proven_levels", r.ProvenLevels)
	if r.Stop != "" {
		j.field("stopped_by", r.Stop)
	}
	j.field("seconds", r.Seconds)
	return j.write(w)
}

// jsonLines builds one object whose lists have a line for each item, so that
// a person can read it and a diff shows what changed.
type jsonLines struct {
	out bytes.Buffer
	err error
}

func (j *jsonLines) key(name string) {
	if j.out.Len() == 0 {
		j.out.WriteString("{\n")
	} else {
		j.out.WriteString(",\n")
	}
	j.out.WriteString(`  "` + name + `": `)
}

func (j *jsonLines) value(v any) {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // ids are the user's own and go to no web page
	if err := e.Encode(v); err != nil && j.err == nil {
		j.err = err
	}
	j.out.WriteString(strings.TrimSuffix(b.String(), "\n"))
}

func (j *jsonLines) field(name string, v any) {
	j.key(name)
	j.value(v)
}

func list[T any](j *jsonLines, name string, items []T) {
	j.key(name)
	j.out.WriteString("[")
	for i, item := range items {
		if i > 0 {
			j.out.WriteString(",")
		}
		j.out.WriteString("\n    ")
		j.value(item)
	}
	if len(items) > 0 {
		j.out.WriteString("\n  ")
	}
	j.out.WriteString("]")
}

func (j *jsonLines) write(w io.Writer) error {
	if j.err != nil {
		return j.err
	}
	j.out.WriteString("\n}\n")
	_, err := w.Write(j.out.Bytes())
	return err
}

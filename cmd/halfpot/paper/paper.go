// Package paper writes what is printed, shared or put into a calendar: sheets
// and guides as Markdown and HTML, a picture of the evenings as SVG, and the
// sittings as an iCalendar file. It takes plain texts; what stands in them is
// worked out elsewhere.
package paper

import (
	_ "embed"
	"html/template"
	"io"
	"strings"
	"sync"
	texttemplate "text/template"
)

// Sheet is one page: a batch and its steps.
type Sheet struct {
	Title    string // "Pass Guard, batch 2 of 3: 8 figures"
	When     string // "Tue 3 Mar, 19:00-21:00"; may be empty
	Steps    []SheetStep
	Rules    []string // what to mind
	Foot     string   // minutes in all
	Cautions []string
}

// SheetStep is a line with a box to tick.
type SheetStep struct {
	Number  int
	Name    string
	Mix     string // "2 wet moss + 1 thatch eave"
	Pour    string // "1.2 ml: 16 + 8 drops"
	How     string // "brush; jacket"
	Time    string // "19:00, 28 min"
	Then    string // "ready 20:14", "then wait 1 h"
	Changed string // another mix than the recipe's
}

// Guide is a recipe to publish.
type Guide struct {
	Title    string       `json:"title"`
	Intro    string       `json:"intro"`
	Short    bool         `json:"short"`
	Steps    []GuideStep  `json:"steps"`
	Paints   []GuidePaint `json:"paints"`
	Amounts  string       `json:"amounts"` // "for 12 figures"
	Cart     []CartLine   `json:"buy"`
	CartNote string       `json:"buy_note"`
	Rules    []string     `json:"rules"`
	Cautions []string     `json:"cautions"`
}

// GuideStep is a step in words.
type GuideStep struct {
	Number int      `json:"number"`
	Name   string   `json:"name"`
	With   string   `json:"with"`
	How    string   `json:"how"`
	Wait   string   `json:"wait"`
	Or     []string `json:"or"`
	Opt    bool     `json:"optional"`
}

// GuidePaint is a paint with what else would do.
type GuidePaint struct {
	Name   string   `json:"name"`
	Maker  string   `json:"maker"`
	Range  string   `json:"range"`
	Code   string   `json:"code"`
	Type   string   `json:"type"`
	Amount string   `json:"amount"`
	Or     []string `json:"or"`
}

// CartLine is something to buy.
type CartLine struct {
	Count string `json:"count"`
	Name  string `json:"name"`
	Shop  string `json:"shop"`
	Price string `json:"price"`
}

//go:embed page.html
var htmlText string

//go:embed page.md
var mdText string

var helpers = map[string]any{
	"join": func(s []string) string { return strings.Join(s, "; ") },
	"cell": mdCell,
}

// Read at first use: most commands show no page.
var (
	pageHTML = sync.OnceValue(func() *template.Template {
		return template.Must(template.New("page.html").Funcs(helpers).Parse(htmlText))
	})
	pageMD = sync.OnceValue(func() *texttemplate.Template {
		return texttemplate.Must(texttemplate.New("page.md").Funcs(helpers).Parse(mdText))
	})
)

// mdCell keeps a text from being read as Markdown or breaking a table.
func mdCell(s string) string {
	return strings.NewReplacer("\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "`", "\\`", "[", "\\[", "<", "&lt;", "\n", " ", "#", "\\#").Replace(s)
}

type page struct {
	Title  string
	Sheets []Sheet
	Guide  *Guide
}

// SheetsHTML writes sheets, each on a page of its own when printed.
func SheetsHTML(w io.Writer, title string, sheets []Sheet) error {
	return pageHTML().Execute(w, page{Title: title, Sheets: sheets})
}

// SheetsMarkdown writes sheets one below the other.
func SheetsMarkdown(w io.Writer, title string, sheets []Sheet) error {
	return pageMD().Execute(w, page{Title: title, Sheets: sheets})
}

// GuideHTML writes a guide as a page.
func GuideHTML(w io.Writer, g Guide) error {
	return pageHTML().Execute(w, page{Title: g.Title, Guide: &g})
}

// GuideMarkdown writes a guide for a blog or a forum.
func GuideMarkdown(w io.Writer, g Guide) error {
	return pageMD().Execute(w, page{Title: g.Title, Guide: &g})
}

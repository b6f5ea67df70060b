package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/optimize"
	"halfpot/optimize/exact"
	"halfpot/optimize/problemfile"
)

type solveOptions struct {
	file      string
	timeLimit time.Duration
	lp        string
	strongLP  string
	onlyLP    bool
	threads   int
}

func (a *app) solveCommand() *cobra.Command {
	var o solveOptions
	c := &cobra.Command{
		Use: "solve FILE", Short: "solve a purchase problem given as JSON",
		Long: `The bare optimiser: takes a purchase problem as JSON (- reads standard input) and
gives the plan as JSON, with every level of its objective proven, or the reasons
why there is none. halfpot buy asks the same question of your own shelf.

--lp writes the same problem in CPLEX LP format, for any general solver to be
asked the same; --strong-lp adds rows that change no answer but make its bounds
better. Under a budget the file asks for the least cost of the greatest worth, so
it is written after solving; with --only-lp it asks for the greatest worth.`,
		Example: `  halfpot solve problem.json
  halfpot solve problem.json --time-limit 60s > plan.json
  halfpot solve problem.json --lp problem.lp --only-lp
  halfpot solve - < problem.json`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			o.file = args[0]
			if c.Flags().Changed("time-limit") && o.timeLimit <= 0 {
				return usagef("--time-limit %s: expected more than nothing, like 60s", o.timeLimit)
			}
			if o.threads < 0 {
				return usagef("--threads %d: expected 1 or more", o.threads)
			}
			if o.onlyLP && o.lp == "" && o.strongLP == "" {
				return usagef("--only-lp: expected --lp or --strong-lp with a file to write")
			}
			return a.solve(c.Context(), o, c.Flags().Changed("format"))
		},
	}
	f := c.Flags()
	f.DurationVar(&o.timeLimit, "time-limit", 0, "stop after `TIME`, like 60s, and give the best plan found")
	f.StringVar(&o.lp, "lp", "", "write the problem to `FILE` in CPLEX LP format")
	f.StringVar(&o.strongLP, "strong-lp", "", "write it to `FILE` with the strong rows")
	f.BoolVar(&o.onlyLP, "only-lp", false, "write the LP files and don't solve")
	f.IntVar(&o.threads, "threads", 0, "search with `N` cores (default all; the answer is the same)")
	return exits(c, exitNoPlan, exitLimit)
}

func (a *app) solve(ctx context.Context, o solveOptions, chosen bool) error {
	begun := a.now()
	if err := a.sparesInput(o); err != nil {
		return err
	}
	// Reading counts too: the limit is what the user waits.
	searched := ctx
	if o.timeLimit > 0 {
		var cancel context.CancelFunc
		searched, cancel = context.WithTimeout(ctx, o.timeLimit)
		defer cancel()
	}
	problem, err := a.awaitProblem(searched, o.file)
	if err != nil {
		return a.readingEnded(err, o)
	}
	// Under a budget the LP asks for the least cost of the greatest worth, so
	// that worth has to be known first.
	late := problem.Rules.Budget != nil && !o.onlyLP
	if !late {
		if err := o.writeLP(problem, nil); err != nil {
			return err
		}
	}
	if o.onlyLP {
		return nil
	}
	bar := a.newProgress(problem.Currency)
	r, err := exact.Solve(searched, problem, exact.Options{Threads: o.threads, Progress: bar.report()})
	bar.end()
	if err != nil {
		return err
	}
	r.Seconds = a.now().Sub(begun).Seconds()
	if late {
		var worth *int64
		if r.Totals != nil && r.ProvenLevels > 0 {
			worth = &r.Totals.Worth
		}
		if err := o.writeLP(problem, worth); err != nil {
			return err
		}
	}
	if err := a.showResult(r, chosen); err != nil {
		return err
	}
	if r.Status == optimize.Unsolved && ctx.Err() != nil {
		return cancelled{ctx.Err()}
	}
	return outcome(r)
}

// readingEnded says of a problem that took longer to come than the time limit
// that this is why there is no plan.
func (a *app) readingEnded(err error, o solveOptions) error {
	if !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &limitError{fmt.Sprintf("%s: the time limit of %s was over before the problem was read",
		o.file, o.timeLimit)}
}

// limitError is a limit that was reached before there was any plan.
type limitError struct{ msg string }

func (e *limitError) Error() string   { return e.msg }
func (e *limitError) exitStatus() int { return exitLimit }

// sparesInput refuses an LP file that is the problem's own file, by whatever
// name or link, and two that are one.
func (a *app) sparesInput(o solveOptions) error {
	type named struct{ flag, path string }
	taken := []named{{"the problem itself", o.file}}
	for _, f := range []named{{"--lp", o.lp}, {"--strong-lp", o.strongLP}} {
		if f.path == "" {
			continue
		}
		for _, t := range taken {
			same := sameFile(t.path, f.path)
			if t.path == "-" {
				same = isFile(a.in, f.path)
			}
			if same {
				return usagef("%s %s: that is the file of %s; expected another one", f.flag, f.path, t.flag)
			}
		}
		taken = append(taken, f)
	}
	return nil
}

// isFile tells whether a stream comes from the ordinary file of that name.
func isFile(in io.Reader, path string) bool {
	f, ok := in.(*os.File)
	if !ok {
		return false
	}
	x, errX := f.Stat()
	y, errY := os.Stat(path)
	return errX == nil && errY == nil && x.Mode().IsRegular() && os.SameFile(x, y)
}

// sameFile tells two names of one ordinary file.
func sameFile(a, b string) bool {
	if filepath.Clean(a) == filepath.Clean(b) {
		info, err := os.Stat(a)
		return err != nil || info.Mode().IsRegular() // two outputs may both go to /dev/null
	}
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && x.Mode().IsRegular() && os.SameFile(x, y)
}

// atOnce is how large an ordinary file is at most that is read before anybody gets impatient.
const atOnce = 256 << 10 // bytes

// awaitProblem reads a problem and waits for it no longer than ctx lasts.
func (a *app) awaitProblem(ctx context.Context, path string) (*optimize.Problem, error) {
	info, err := os.Stat(path)
	if err == nil && info.Mode().IsRegular() && info.Size() <= atOnce && path != "-" {
		p, err := a.readProblem(path)
		return p, cmp.Or(err, ctx.Err())
	}
	return await(ctx, func() (*optimize.Problem, error) {
		collectMore()
		defer collectLess()
		return a.readProblem(path)
	})
}

// readProblem reads and validates a problem; what is wrong in it comes back as
// optimize.InvalidError, in which the file's name is put.
func (a *app) readProblem(path string) (*optimize.Problem, error) {
	name, in := path, io.Reader(nil)
	if path == "-" {
		name, in = "standard input", a.in
	} else {
		f, err := os.Open(path)
		if err != nil {
			var pathErr *os.PathError
			if errors.As(err, &pathErr) {
				return nil, usagef("%s: %v", path, pathErr.Err)
			}
			return nil, err
		}
		defer f.Close()
		if info, err := f.Stat(); err == nil && info.IsDir() {
			return nil, usagef("%s: that is a folder; expected a file with a purchase problem", path)
		}
		in = f
	}
	p, err := problemfile.Read(in)
	if invalid, ok := errors.AsType[*optimize.InvalidError](err); ok {
		return nil, &usageError{msg: name + ": " + strings.ReplaceAll(invalid.Error(), "\n", "\n"+name+": ")}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return p, nil
}

// writeFile writes a file whole or not at all: beside it first, then renamed.
// What is no ordinary file, such as a pipe, is written as it is.
func writeFile(path string, write func(io.Writer) error) (err error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return fmt.Errorf("write %s: %w", path, err)
		}
		return errors.Join(write(f), f.Close())
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".halfpot-*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			_ = f.Close()
			_ = os.Remove(f.Name())
			err = fmt.Errorf("write %s: %w", path, err)
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	if err := f.Chmod(0o644); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// showResult gives the plan as JSON, which is what solve is for, unless another
// format was asked for by name.
func (a *app) showResult(r *optimize.Result, chosen bool) error {
	p, err := a.printer()
	if err != nil {
		return err
	}
	if !chosen || p.Format == view.JSON {
		if err := problemfile.WriteResult(view.SafeJSON(a.out), r); err != nil {
			return fmt.Errorf("write the result: %w", err)
		}
		return nil
	}
	rows := []purchaseRow{}
	for _, b := range r.Buy {
		rows = append(rows, purchaseRow{b.Product, b.Shop, view.Count(b.Count)})
	}
	return p.Show(nil, rows, func(page *view.Page) {
		if t := r.Totals; t != nil {
			page.Line("%s", totalsText(r))
			page.List(rows, "nothing to buy")
		}
		page.Line("%s", proofText(r))
		for _, reason := range r.Reasons {
			page.Line("  - %s", reason.Text)
		}
	})
}

// totalsText says what a plan comes to.
func totalsText(r *optimize.Result) string {
	t := r.Totals
	m := func(n int64) view.Money { return view.Money(inventory.MoneyOfMinor(n, r.Currency)) }
	text := fmt.Sprintf("%s: goods %s, %s", m(t.Objective), m(t.Goods), deliveryWords(m(t.Delivery)))
	if t.Points > 0 {
		text += ", " + count(int(t.Points), "point", "points") + " of compromise"
		if price := t.Objective - t.Goods - t.Delivery; price > 0 {
			text += fmt.Sprintf(" counted as %s", m(price))
		}
	}
	if t.Worth > 0 {
		text += fmt.Sprintf(", worth %d finished", t.Worth)
	}
	return text + fmt.Sprintf("; %s from %s", count(int(t.Boxes), "item", "items"), count(int(t.ShopsUsed), "shop", "shops"))
}

// proofText says how far a result is proven.
func proofText(r *optimize.Result) string {
	t := r.Totals
	switch {
	case r.Status == optimize.Optimal:
		return "Proven: no other plan is better."
	case r.Status == optimize.Infeasible:
		return "There is no plan:"
	case t == nil:
		return "The search was stopped before any plan was found."
	case r.Stop == optimize.ByPrecision:
		return fmt.Sprintf("%d levels of the objective are proven; "+
			"the amounts are so large that the others can't be weighed exactly.", r.ProvenLevels)
	case t.WorthBound > t.Worth:
		return fmt.Sprintf("Not proven: the search was stopped. No plan within the budget finishes more than is worth %d.", t.WorthBound)
	case t.Bound >= t.Objective:
		return "The search was stopped. No plan costs less; whether one at the same cost does with fewer points, items " +
			"or shops is not settled."
	}
	return fmt.Sprintf("Not proven: the search was stopped. The cheapest plan costs at least %s, so this is at most %s above it.",
		inventory.MoneyOfMinor(t.Bound, r.Currency), gap(t.Objective, t.Bound))
}

type purchaseRow struct {
	Product string     `json:"product" table:"product"`
	Shop    string     `json:"shop" table:"shop"`
	Count   view.Count `json:"count" table:"items"`
}

// writeLP writes the LP files asked for. Under a budget with worth nil they ask
// for the greatest worth, else for the least cost of finishing that worth.
func (o solveOptions) writeLP(p *optimize.Problem, worth *int64) error {
	for _, file := range []struct {
		path   string
		strong bool
	}{{o.lp, false}, {o.strongLP, true}} {
		if file.path == "" {
			continue
		}
		if err := writeFile(file.path, func(w io.Writer) error {
			return problemfile.WriteLP(w, p, problemfile.LPOptions{Strong: file.strong, Worth: worth})
		}); err != nil {
			return err
		}
	}
	return nil
}

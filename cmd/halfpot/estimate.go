package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/inventory"
	"halfpot/inventory/estimate"
)

type estimateOptions struct {
	paint, pot    string
	confidence    float64
	explain       bool
	skipOptional  bool
	byColour      int
	withoutOrders bool
	on            string
	batch         int
	unit, step    string
}

func (a *app) estimateCommand() *cobra.Command {
	var o estimateOptions
	c := &cobra.Command{
		Use: "estimate [FORCE]", Short: "what a force will take; how many figures a pot does",
		Long: `For a force: how much of each paint its open steps take, what the shelf has of it,
what is short, and how many figures of each unit can be finished with what you
own. With --pot or --paint: how many figures that pot, or all pots of that paint,
will do for each step they serve, and how sure that is. Without any it is about the
force you are painting, if there is only one.

--explain prints the sums with your numbers put in and says of each number where
it came from: given by you, learned from your pots, published, or assumed.`,
		Example: `  halfpot estimate harbour-watch
  halfpot estimate harbour-watch --explain --unit rifles --step jacket
  halfpot estimate --pot pale-bone-1
  halfpot estimate --paint "soot wash" --confidence 0.95
  halfpot estimate factors`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := checkByColour(o.byColour); err != nil {
				return err
			}
			switch {
			case len(args) == 1 && o.paint == "" && o.pot == "":
				return a.estimateForce(c.Context(), args[0], o)
			case len(args) == 0 && o.paint == "" && o.pot == "":
				return a.estimateForce(c.Context(), "", o)
			case len(args) == 0 && (o.paint == "" || o.pot == ""):
				return a.estimatePaint(c.Context(), o)
			}
			return &usageError{
				"expected one of a force, --pot POT and --paint PAINT",
				[]string{"halfpot force list", "halfpot estimate --help"},
			}
		},
	}
	f := c.Flags()
	f.StringVar(&o.pot, "pot", "", "how many figures `POT` will do")
	f.StringVar(&o.paint, "paint", "", "how many figures all pots of `PAINT`, or a new one, will do")
	addConfidence(f, &o.confidence, "of having enough")
	f.BoolVar(&o.explain, "explain", false, "print the sums, number by number")
	f.StringVar(&o.unit, "unit", "", "only `UNIT` of the force")
	f.StringVar(&o.step, "step", "", "only `STEP` of the recipes")
	f.BoolVar(&o.skipOptional, "skip-optional", false, "leave out the recipes' optional steps")
	addByColour(f, &o.byColour)
	onFlag(c, &o.on)
	f.BoolVar(&o.withoutOrders, "without-orders", false, "leave out what is on its way")
	f.IntVar(&o.batch, "batch", 0, "`N` figures painted at one sitting (default: as the unit says; of a pot, else ten)")
	complete(a, c, "paint", paintNames)
	a.completeShelf(c, "pot", potNames)
	a.completeOf(c, "unit", "step")
	c.AddCommand(a.estimateFactors(), a.estimateDefaults())
	return completeArg(a, c, forceNames)
}

// insteadRow is what the shelf has in place of a paint that is short.
type insteadRow struct {
	Paint   string          `json:"paint"`
	Name    string          `json:"name" table:"short is"`
	With    string          `json:"with" table:"the shelf has"`
	Differs view.Difference `json:"difference" table:"differs"`
	Points  view.Count      `json:"points" table:"points"`
	Left    view.Amount     `json:"left" table:"likely left"`
}

// needRow is what a force takes of one paint.
type needRow struct {
	Paint   string        `json:"paint"`
	Colour  view.Swatch   `json:"colour" table:"col."`
	Name    string        `json:"name" table:"paint"`
	Need    view.Amount   `json:"need" table:"likely need"`
	NeedAt  view.Amount   `json:"need_at_confidence" table:"to have"`
	OnShelf view.Amount   `json:"on_shelf" table:"likely left"`
	Short   view.Shortage `json:"short" table:"to add"`
	Enough  view.Percent  `json:"chance_enough" table:"enough"`
	State   string        `json:"state"`
	Steps   []string      `json:"steps"`
}

// estimateDoc is the estimate of a force.
type estimateDoc struct {
	Force      string       `json:"force"`
	Confidence float64      `json:"confidence"`
	Paints     []needRow    `json:"paints"`
	Instead    []insteadRow `json:"could_stand_in"`
	Finish     []finishRow  `json:"finish_now"`
	Together   int          `json:"finish_together"`
	RunsOut    []runOutRow  `json:"runs_out"`
	HangsOn    []hangsRow   `json:"hangs_on"`
	WeighFirst []weighRow   `json:"weigh_first"`
	Coming     []comingRow  `json:"on_its_way"`
	Sums       []sumDoc     `json:"sums,omitempty"`
}

func (a *app) estimateForce(ctx context.Context, typed string, o estimateOptions) error {
	st, err := a.stateOn(ctx, o.on)
	if err != nil {
		return err
	}
	id, err := forceOr(st.cat, typed)
	if err != nil {
		return err
	}
	force := *st.byID.Forces[id]
	if o.unit != "" {
		unit, err := lookup("unit", o.unit, "halfpot force show "+id, unitNames(force))
		if err != nil {
			return err
		}
		u, _ := force.Unit(unit)
		force.Units = []inventory.Unit{u}
	}
	doc, err := newEstimateDoc(st, force, o)
	if err != nil && !errors.Is(err, estimate.ErrNothingLeft) {
		return err
	}
	return a.show(doc, doc.Paints, func(page *view.Page) {
		st.noteDay(page, o.on)
		if err != nil {
			page.Line("Every step of every unit is done: it takes nothing more.")
			return
		}
		if o.explain {
			page.Full()
		}
		doc.show(page, st, force)
	})
}

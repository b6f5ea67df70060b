package main

import (
	"fmt"

	"halfpot/optimize/generate"
	"halfpot/optimize/problemfile"

	"github.com/spf13/cobra"
)

// problemSizes are the sizes of generated problems, from small to large.
var problemSizes = []string{"tiny", "desk", "force", "club", "studio"}

// generateCommand is hidden: it makes problems to measure the optimiser with,
// and is of no use to a painter.
func (a *app) generateCommand() *cobra.Command {
	var seed uint64
	var plain, workshop bool
	c := &cobra.Command{
		Use: "generate SIZE", Short: "make a purchase problem to measure the optimiser with",
		Long: `Writes a made-up purchase problem as JSON: tiny, desk, force, club or studio size,
with what makes real orders hard in it. The same seed gives the same problem.
--plain leaves out some of it: three options a step at most, one delivery
threshold a shop, no minimum orders. --workshop adds a book of recipes that all
units are painted by, cans that all draw from, pots in two sizes and doubled pots
in sets.`,
		Example: "  halfpot generate force --seed 7 > problem.json",
		Hidden:  true,
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			shape, ok := generate.Named(args[0])
			if !ok {
				return usagef("there is no size %q: expected %s", args[0], oneOf(problemSizes))
			}
			if plain {
				shape = generate.Plain(shape)
			}
			if workshop {
				shape = generate.Workshop(shape)
			}
			if err := problemfile.Write(a.out, generate.Problem(seed, shape)); err != nil {
				return fmt.Errorf("write the problem: %w", err)
			}
			return nil
		},
		ValidArgs: problemSizes,
	}
	c.Flags().BoolVar(&plain, "plain", false, "a problem of an easier kind")
	c.Flags().BoolVar(&workshop, "workshop", false, "a problem of a kind where popular paints take several pots")
	c.Flags().Uint64Var(&seed, "seed", 1, "`N` of the problem of this size")
	return c
}

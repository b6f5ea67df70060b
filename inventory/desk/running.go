package desk

import (
	"halfpot/inventory"
	"halfpot/inventory/estimate"
	"halfpot/inventory/hand"
	"halfpot/inventory/painting"
)

// Running says by how much paints run short, step after step, of what stands on the
// shelf: what was painted and what there is weighed together under one hand, as in
// estimates, each paint by itself with a chance of lasting.
func (d *Desk) Running(chance float64) painting.Running {
	draws := d.book.Hand.Draws()
	short := map[string][]float64{} // used so far less what there is
	for i := range d.Shelf.Pots {
		p := &d.Shelf.Pots[i]
		if d.Levels[i].Gone != "" {
			continue
		}
		if x := d.book.PotDraws(draws, p.ID, p, d.At); x != nil {
			sum(short, p.Paint, x, -1)
		}
	}
	return func(name string, unit *inventory.Unit, s *estimate.StepSum, use estimate.PaintUse) inventory.Volume {
		if s.Applied.Median <= 0 {
			return 0
		}
		sum(short, use.Paint, draws.Job(name, unit.Figure, d.book.Work(s)), use.Amount.Median/s.Applied.Median)
		return inventory.VolumeOfML(max(0, hand.At(short[use.Paint], chance)))
	}
}

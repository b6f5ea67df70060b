// Package exact finds the cheapest purchase and proves that none is cheaper.
//
// Solve finds a plan that is least, in this order, in: money (goods, delivery
// and the price put on compromises), compromise points, boxes, and shops used.
// Under a budget, the greatest worth of finished groups comes before all of
// these. It does no I/O and reads no clock: limits come in through the context.
// What it returns has passed optimize.Check. MEASURED.md beside this file says
// how fast it is and what was tried without gain.
//
// The rest of this comment is the method, in the order in which a problem goes
// through it, and names the files that hold each step.
//
// # The problem
//
// Needs are met by options, which take volumes of paints; paints are at hand or come
// in boxes, of one or several paints; shops sell boxes and charge delivery by bands. As an
// integer program, with every y 0 or 1 and every x a whole number, the cost is the least of
//
//	sum of price[j] x[j] + sum of fee[b] band[b] + price of a point * sum of points[o] y[o]
//
// where
//
//	sum of y[o] over its options = 1                            for each need (alike for
//	                                                            those of one match label)
//	sum of ul[o,q] y[o] <= at hand[q] + sum of ul[j,q] x[j]     for each paint q
//	x[j] <= limit[j], and 0 unless shop[h] = 1                  for each offer j of shop h
//	sum of band[b] over its bands = shop[h]                     for each shop h
//	sum of price[j] x[j] at h >= sum of from[b] band[b]
//	sum of shop[h] <= max_shops
//
// It is facility location with several products, whose facilities have minimum orders and
// charges that fall, over a knapsack for each paint. The terms used below:
//
//	use       an option's volume of one paint
//	box       one item of an offer; a set is a box of several paints
//	unit      what boxes of a paint are counted in, so that a large pot is two, say
//	band      from what value of an order on a charge holds; a minimum order is the first one's
//	weight    money, points, boxes and shops as one number (weights)
//	grain     every plan's weight is a whole multiple of it
//	cutoff    the weight above which a plan is of no use, mostly a grain below the incumbent's
//	facts     what follows from a domain for each paint
//	ties      plans that cost the same, among which the later levels decide
//
// To read the code, begin with solve.go (Solve, hunt: level by level), phases.go, search.go
// (the tree, from batch to batch), visit.go and linear_visit.go (one node, by either
// bound); plan.go turns a solution into the answer.
//
// # The model
//
// compile (model*.go, reduce.go, units.go) lays the problem out as flat arrays.
// Needs of one match label become one need, which is exact since their volumes
// add up; options and uses that can't matter are dropped. A domain (domain.go)
// is what a node of the search still allows; propagation works out what follows
// from it: sure demand of each paint, boxes that must hold it, bands a shop can
// reach, the number of shops. A problem that is nothing but set covering goes to
// optimize/setcover (cover.go).
//
// # The lower bound
//
// (layout.go, bound.go, knapsack.go, curve.go, reach.go.) Suppose each need could
// pay a fixed amount for being met, and each paint asked a price for being there.
// Whatever amounts we choose, no plan can cost less than what the needs pay in
// all, minus what the shops could earn beyond their costs by serving those who
// pay most. That is Lagrangian relaxation, and the amounts are its multipliers.
// Such a sum is easy to work out, because every shop can be looked at by itself:
// which boxes would earn more than they cost, is that worth the delivery charge,
// and which delivery band would it choose? The art is in choosing the multipliers
// so that the sum is as large as possible. Two things make ours larger than the
// linear relaxation that general solvers start from:
//
//   - A shop is decided whole: used or not, and reaching a band or not. The linear
//     relaxation uses a tenth of a shop at a tenth of its charge. For a band with a
//     threshold the boxes just below being worth while are added in the order of
//     loss per price (a continuous knapsack, curve.go), and with boxes already
//     certain only order values that sums of prices can give count (reach.go).
//   - A paint is decided whole. What is left of a paint serves only so many of the
//     needs that would do with it; which ones is a small knapsack, solved exactly
//     (knapsack.go). Mostly one more box serves them all. Where it may not, the
//     paint picks by itself how many pots it pays for, at one amount a pot, and
//     whom they serve: a knapsack for every number of pots. The linear relaxation
//     buys 1.3 pots there. Boxes are counted in units (units.go), so that a set
//     with two pots of a paint counts twice; how much a unit holds at most is
//     worked out anew for each node. Of a paint that is sure to take many pots a
//     unit may be part of a pot, its numbers of units are looked at in runs, and
//     its row is scaled, since hundreds of units would drown the rows of needs out.
//
// Multipliers are raised in two ways: one need at a time until something would
// pay (dual_ascent.go: dual ascent, Erlenkotter 1978, and its condensed dual, which keeps
// one amount a need instead of one a need and option), and all together along an
// averaged violation (volume.go: volume algorithm, Barahona & Anbil 2000). How
// well the volume algorithm converges at every node decides how large the tree
// gets: with half the steps a node's bound may lie lower by a third of the gap.
// One badly scaled row is enough to hold it up, so look at the violations first
// when a search stalls. The dual ascent is played through again and again between
// the steps: it finds the last little at once, which is all that the later levels
// of the objective weigh.
//
// # Why it is a proof
//
// All multipliers are whole multiples of one power of two, costs are whole
// numbers, and every sum stays below 2^53 of those multiples, so the
// floating-point sums are exact. Money, points, boxes and shops are searched as
// one number in which each outweighs all that follow it; where that number would
// be too large, the levels are searched one after the other (phases.go).
//
// # The tree
//
// (search.go, visit.go, node.go, fix.go, branch*.go, leaf.go, estimate.go, shrink.go.) The open node with the
// least bound is worked on next, four at a time whatever the number of threads, so
// the answer does not depend on it. A node is bounded, choices that would lift its
// bound past the incumbent are ruled out by reduced cost (fix.go), and it is
// branched on: shops and bands first, then whether a paint is bought and how many
// pots of it, which offer sells it, and who uses what is on the shelf. Needs that
// have an option which takes nothing scarce are settled at once. Branches are
// guessed at by playing the dual ascent through around the paint (estimate.go),
// the best few tried out (strong branching), and what trying brought is remembered
// in pseudocosts (reliability branching, Achterberg, Koch & Martin 2005). Those
// that the averaged answer leaves most open are always tried, since a guess can
// miss that both sides rise, and those it has decided count for little: they lift
// one side only. A side that trying shows to hold nothing better is ruled out at
// once, and the node bounded anew. A search that does not end soon takes more
// steps for each node and each trial; a small one takes fewer, and so does one so
// large that few nodes can be looked at. Once the root has ruled much out, it goes
// on with a smaller model (shrink.go).
//
// # Where pots run out
//
// (linear*.go.) The bound above knows one paint at a time. Where needs of a third of a
// pot may take any of several paints, each paint's share rounds to nothing, and the
// bound stays 5 to 15 % low. A problem whose root shows this (promising), or
// a small one that some dozens of nodes leave open (late), goes over to a linear relaxation,
// solved by optimize/lp; a small one comes back where that brings little at its root. A large one
// also goes over where rows close a third of what is open after plans (wanting):
//
//   - Columns are options, boxes, shops, delivery bands, and for each paint whether
//     any is bought, boxes of each size, and units in all (linear.go). Rows that say
//     "no option without a pot, no box without its shop" come in when they are broken
//     (linear_links.go): a paint is bought at no more than the sum over the shops of
//     shop used or boxes bought there, whichever is less.
//   - Rounded rows see the pots (linear_set*.go, linear_paint_rows.go). Three needs of
//     7 ml that two paints can serve, 2 ml on the shelf, pots of 16 and 24 ml: 19 ml are short, so boxes of
//     the first plus twice those of the second are at least 2. Needs that may leave the
//     set weaken such a row by what they take elsewhere, or, where many leave by one
//     paint, by that paint being bought at all. Separation grows the set around each
//     paint bought in part. Beside these, rows of the simplex tableau are rounded.
//     All rounding is mixed integer rounding in whole numbers (lp.Rounding), so that no
//     row ever cuts off a plan, whatever the floating point did.
//   - Bands that no plan worth having can pay for, alone or at once, are left out
//     (linear_bills.go): the relaxation takes a tenth of each. The root of a small problem
//     also tries what using each shop or band, or not, comes to (linear_shops.go).
//   - Needs and paints that share nothing with the rest but shops are a cluster
//     (linear_cluster*.go). In some, only a choice between several ways to buy moves the
//     bound. The root searches each by itself for up to a hundred leaves, in a small
//     program that prices all else, and what holds in all leaves is a row
//     (lp.Solver.Disjunctive). One pass over all clusters brings as much as dozens of
//     nodes, which would go through all combinations.
//   - Bounds, and what reduced costs rule out (linear_fix.go), come from lp.Certificate alone,
//     which is exact. A relaxation whose arithmetic gives out, or that does not end, leaves its
//     node the bound it had, or the Lagrangian one, and Progress counts it; where that is
//     so at half of the nodes, the search goes back to the Lagrangian bound.
//   - A node (linear_search.go, linear_visit.go) carries the rows that were of use to its parent and a
//     basis, and once a third of the columns is settled, a smaller form. It branches on
//     shops and bands, then on units of a paint, options and offers, by strong branching
//     with some pivots a side (linear_branch.go); what is tried is chosen by what a unit of
//     a term brought before, times how far the answer lies from both sides. It also splits
//     on units over two, three or more paints together that are each bought in part
//     (linear_sums.go), since a pot ruled out of one of them only moves on to the next;
//     such a side is a row that the nodes below keep. So is one of a split on what is spent
//     to reach a threshold, which whole boxes must come to (linear_extra.go). Plans come from
//     searches in the part that the answer and the incumbent span, at every other node as
//     long as that takes less than half of the effort (linear_plans.go).
//   - A search first guesses that a plan weighs little more than the root's bound
//     (linear_guess.go): with so little room, nodes are small. Where there is no such plan,
//     that is proven, and the next guess is higher.
//   - Where the root does not go over, nodes may (linear_pass.go): once no shop is in
//     doubt, and hundreds of needs hang together by sets, the Lagrangian bound stands
//     still, and the relaxation with its rows is higher at once.
//   - The cost is proven alone, so that bounds are rounded up to whole grains of money.
//     Nodes that end with a bound no higher than the least cost may hold plans as cheap:
//     they are kept, and the later levels are searched in them, plans and all, with a row
//     that says what plans cost (linear_levels.go).
//
// Balas 1979 (disjunctions); Marchand & Wolsey 2001 (mixed integer rounding); Magnanti,
// Mirchandani & Vachani 1993 (cut-sets); Padberg, Van Roy & Wolsey 1985 (flow covers).
//
// # The endgame
//
// (endgame*.go.) Thresholds make a part of the problem all but flat: orders are
// filled up to them, and thousands of ways to spread the same pots over the shops
// lie within a few cents. No branching moves the bound there. So as soon as every
// used shop of a node has its delivery band, the node is solved by itself if it
// can be:
//
//   - What is open falls into components that share no need, paint or box: mostly
//     one box and the shops that sell it, or some needs that could take one of two
//     paints. A paint that takes the same boxes whatever the needs take of it ties
//     nothing together.
//   - A component has its columns: what one weighs and what it adds to each order
//     held at a threshold. They are enumerated, leaving out what loses more than
//     the gap, with a small Lagrangian bound of its own (a price by the microlitre
//     for each paint), and what has been seen with no more missing.
//   - The only multipliers left are the thresholds' discounts. A column that would
//     lift the bound past the incumbent goes, at the best discounts or at any of
//     some dozens laid out around them. A threshold that every plan worth having
//     passes is let go.
//   - The rest is a table over the components: dynamic programming over what has
//     been spent and what each order holds, a state being dropped when the bound of
//     what follows, at any of those discounts, lifts it past the incumbent, or when
//     another state dominates it. What a state lacks to a threshold must come from
//     whole boxes, and where forty cents are lacking that means one more of three
//     euros: the sums that the remaining components can reach are known bit by bit.
//     Pisinger (1997) and others solve knapsacks this way.
//   - A table that grows too wide keeps its most hopeful states. It then proves
//     nothing, but often finds a plan, and with the smaller gap it is tried again.
//     What was too much for a node is remembered, and the nodes below it try again
//     only with an eighth less.
//
// At nodes of the linear relaxation components of dozens of needs are gone through as well, with
// more effort late in a search (endgame_pots.go, endgame_options.go, endgame_choices.go,
// endgame_discount.go, linear_shops.go):
//
//   - Their options are far too many to go through, but what is bought of their few paints is
//     not. For each choice of volumes a bound stands for what the options cost; they are
//     worked out, by branch and bound, in the end with a linear relaxation of their own, only
//     where the bound rests on them or a plan may hold them, and remembered.
//   - Discounts come from column generation (Dantzig & Wolfe 1960), since the relaxation's
//     own miss what its rounded rows stand for.
//   - Shops that the relaxation's answer leaves alone are settled first.
//   - A node that holds a plan as good as the best is split on all the same: the later levels
//     are easier in small parts.
//
// Most tables hold some hundred states, and stand for tens of thousands of nodes.
//
// # Finding plans
//
// A builder follows the relaxed answer and then withdraws boxes (builder.go,
// heuristic.go; plans.go and linear_plans.go say when); ruin and recreate improves it (anneal*.go, Schrimpf et al. 2000);
// dives decide what the relaxed answer is surest of (dive.go); and what the answer
// leaves open is searched by the same search for a few nodes (relaxation induced
// neighbourhoods, Danna, Rothberg & Le Pape 2005). Up to three boxes at a time
// change their shop (reshop.go), and sets of shops are swapped whole (shop_set.go).
// Large problems are gone over window by window (window.go: large neighbourhood
// search, Shaw 1998): a hundred needs that share paints are open, or the paints of
// four sets and what they are used for; the rest stays as the plan has it, and the
// search itself finds the best there. Where the linear relaxation bounds the nodes of a
// large problem, dives (linear_dive.go) decide shops as its answer has them, and put the best
// leaves of all clusters together. What a plan really costs, thresholds filled up, is worked
// out by value.go and topup.go.
//
// # Under a budget
//
// (budget*.go.) Which groups to finish is searched first, by sets of
// groups: a set's least cost is bounded by cuts that hold for every set, taken from
// the multipliers that priced one of them.
//
// # No plan
//
// (reasons*.go.) Irreducible infeasible subsystems of needs,
// match labels, limits, minimum orders and max_shops are found with QuickXplain
// (Junker 2004).
//
// # Literature
//
// Holmberg, Ronnqvist & Yuan 1999; Posta, Ferland & Michelon 2014; Gendron, Khuong
// & Semet 2016 (location); Pisinger 1997 (knapsacks by dynamic programming with
// bounds); Blazewicz et al. 2010 (internet shopping).
package exact

package coverage

// DeadVolume is what of a nominal volume never comes out of a pot: 3 % by
// default (3 to 5 %). Assumption, after the residue of a container that counts
// as empty (40 CFR 261.7: no more than 3 % of capacity).
var DeadVolume = Default{Value: 0.03, Low: 0.02, High: 0.05, Origin: Assumption,
	Source: "after 40 CFR 261.7: an empty container holds no more than 3 % of its capacity"}

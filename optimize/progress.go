package optimize

// Progress is what a running solve knows. Under a budget Best and Bound are
// about the greatest worth found so far; Bound is not yet one while WorthBound
// lies above Worth.
type Progress struct {
	Best  int64 // objective of the best plan so far
	Found bool  // whether there is one
	Bound int64 // proven lower bound
	Nodes int64 // parts of the search looked at

	Troubles int64 // linear relaxations whose arithmetic gave out, so that their part was bounded another way

	Worth, WorthBound int64 // under a budget: worth of the best plan, and what no plan can pass
}

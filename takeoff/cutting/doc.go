// Package cutting plans one-dimensional cutting: which stock pieces of which
// lengths and prices to buy, and how to cut the pieces wanted out of them, at
// the least cost. Bars, form pieces and any other list use it alike.
//
// All lengths are whole numbers of one unit (nanometres everywhere else in
// this project), all prices whole numbers of the smallest unit of money. A
// saw's kerf is added to each piece and once to the stock.
//
// Solve returns the plan, what it costs and the least that any plan could
// cost, so that a plan is either proven least or "at most so much over". Every
// plan is re-counted by Recount, which shares no code with the search, before
// it is returned. Among plans of equal cost the one with fewer stock pieces is
// kept, then with fewer patterns, then with the longest drop left whole; these
// ties are broken among the plans met, and are not themselves proven best.
//
// The answer depends on the problem and the Work allowed, and on nothing else:
// work is a count of elementary steps, not time.
//
// It refuses (with an error) a piece longer than every stock, lengths that are
// not positive, negative counts, prices or kerf, and numbers so large that a
// total would not fit in 63 bits.
//
// Floating point is used inside the search only, with every product rounded
// before it is added to, so that processors that can do both at once give the
// same answer. Loads are counted in integers
// and every bound is computed exactly in integers from whatever multipliers
// the search suggests, so a rounding error can make a bound weaker, never
// false.
//
// The method: first-fit and best-fit plans (firstfit.go, fillall.go); patterns by
// linear programming with columns priced in (master.go, columns.go, knapsack.go,
// stairs.go; Gilmore and Gomory 1961 and 1963); rows about the stock bought where
// there are several lengths (stockrows.go); lists of stock gone through one by one
// (lists.go); dives for whole plans (columns.go; Belov and Scheithauer 2006); and a
// search of the patterns of small reduced price (finish.go).
//
// Read first: problem.go (what is asked), plan.go (what is answered and how it
// is re-counted), solve.go (the order of the methods), bound.go (why the bound
// holds).
package cutting

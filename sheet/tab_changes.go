package sheet

// changes is what changed since the run before.
func (p *priced) changes() (*page, error) {
	pg := newPage(tabChanges, "Changes", p.under, "")
	pg.head("Changes since the run before")
	pg.add(outCell{value: "no earlier run", look: asLong})
	return pg, nil
}

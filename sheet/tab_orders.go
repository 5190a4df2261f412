package sheet

// orders is what to order, by supplier and day.
func (p *priced) orders() (*page, error) {
	pg := newPage(tabOrders, "Orders", p.under, "As of this run. Needed less ordered so far (tab Ordered); nothing is netted across items.")
	pg.table, pg.tableCols, pg.most = "Orders", 17, map[int]float64{5: 34, 17: 40}
	pg.head("Supplier", ">Need by", "Item", ">Length", "Description", ">Needed", ">Ordered", ">To order", ">Surplus", "Unit", ">Packs", ">Pack", ">Lead days",
		"Late", ">Rented from", ">Rented to", "Note")
	for i := range p.bid.Orders {
		o := &p.bid.Orders[i]
		supplier, late := o.Supplier, ""
		if supplier == "" {
			supplier = "no supplier"
		}
		if o.Late {
			late = "LATE"
		}
		lead := outCell{}
		if o.LeadDays > 0 {
			lead = wholeCell(int64(o.LeadDays))
		}
		pg.add(textCell(supplier), dateCell(o.NeedBy), textCell(o.Item), p.lengthCell(o.Length), wrapCell(o.Description),
			quantityCell(o.Needed), quantityCell(o.Ordered), quantityCell(o.ToOrder), quantityCell(o.Over), textCell(string(o.Unit)),
			optionalCell(o.Packs), optionalCell(o.Pack), lead, textCell(late), dateCell(o.From), dateCell(o.To), wrapCell(o.NeedByNote))
	}
	return pg, nil
}

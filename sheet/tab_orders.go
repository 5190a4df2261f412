package sheet

import (
	"fmt"
	"strings"

	"wallbill/pricing"
)

// orders is what to order, by supplier and day: what was ordered so far is taken off, what is over stands as surplus. Of
// concrete the note has the deliveries by pour; below a supplier's orders stands its freight.
func (p *priced) orders() (*page, error) {
	toOrder, over, late := int64(0), int64(0), int64(0)
	for i := range p.bid.Orders {
		o := &p.bid.Orders[i]
		if o.ToOrder.IsPositive() {
			toOrder++
		}
		if o.Over.IsPositive() {
			over++
		}
		if o.Late {
			late++
		}
	}
	pg := newPage(tabOrders, "Orders", p.under, fmt.Sprintf("As of this run: %s to order, %d of them late; %d over-ordered. Needed less ordered so far (tab Ordered); nothing is netted across items. Need by is the day to order: lead days before use.",
		counted(toOrder, "row"), late, over))
	pg.table, pg.tableCols, pg.most = "Orders", 17, map[int]float64{1: 20, 3: 22, 5: 24, 17: 34}
	pg.head("Supplier", ">Need by", "Item", ">Length", "Description", ">Needed", ">Ordered", ">To order", ">Surplus", "Unit", ">Packs", ">Pack", ">Lead days",
		"Late", ">Rented from", ">Rented to", "Note")
	for i := range p.bid.Orders {
		o := &p.bid.Orders[i]
		supplier, late := o.Supplier, outCell{}
		if supplier == "" {
			supplier = "no supplier"
		}
		if o.Late {
			late = outCell{value: "LATE", look: asFlag}
		}
		lead := outCell{}
		if o.LeadDays > 0 {
			lead = wholeCell(int64(o.LeadDays))
		}
		pg.add(textCell(supplier), dateCell(o.NeedBy), textCell(o.Item), p.lengthCell(o.Length), wrapCell(o.Description),
			quantityCell(o.Needed), quantityCell(o.Ordered), quantityCell(o.ToOrder), quantityCell(o.Over), textCell(string(o.Unit)),
			optionalCell(o.Packs), optionalCell(o.Pack), lead, late, dateCell(o.From), dateCell(o.To), wrapCell(orderNote(o)))
		if i+1 == len(p.bid.Orders) || pricing.SupplierKey(p.bid.Orders[i+1].Supplier) != pricing.SupplierKey(o.Supplier) {
			p.freightRows(pg, pricing.SupplierKey(o.Supplier))
		}
	}
	return pg, nil
}

// orderNote is what there is to say of an order beside its cells.
func orderNote(o *pricing.Order) string {
	var parts []string
	if o.NeedByNote != "" {
		parts = append(parts, o.NeedByNote)
	}
	if s := neededByPour(o); s != "" {
		parts = append(parts, s)
	}
	if o.Charge {
		parts = append(parts, expectedCharge)
	}
	return strings.Join(parts, "; ")
}

// neededByPour lists the deliveries of concrete: pour, day, quantity, loads, what short loads lack.
func neededByPour(o *pricing.Order) string {
	var parts []string
	for _, d := range o.Deliveries {
		s := "pour " + d.Pour
		if d.Pour == "" {
			s = "no pour"
		}
		if !d.Date.IsZero() {
			s += " on " + d.Date.String()
		}
		s += ": " + d.Needed.String() + " " + string(o.Unit)
		if d.Loads > 0 {
			s += " in " + counted(d.Loads, "load")
		}
		if d.ShortLoad.IsPositive() {
			s += ", short by " + d.ShortLoad.String() + " " + string(o.Unit)
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// freightRows are the loads of a supplier; they come with the orders and are not ordered themselves.
func (p *priced) freightRows(pg *page, supplier string) {
	for i := range p.bid.Freight {
		f := &p.bid.Freight[i]
		if pricing.SupplierKey(f.Supplier) != supplier {
			continue
		}
		for k, name := range []string{f.Item, f.PartItem} {
			if name == "" {
				continue
			}
			note := ""
			if k == 1 || f.PartItem == "" {
				note = f.Note
			}
			for j := range p.bid.Items {
				it := &p.bid.Items[j]
				if it.Name != name || !it.Freight {
					continue
				}
				shown := it.Supplier
				if shown == "" {
					shown = f.Supplier
				}
				pg.add(textCell(shown), outCell{}, textCell(it.Name), outCell{}, wrapCell(it.Description), quantityCell(it.Order), outCell{}, outCell{}, outCell{},
					textCell(string(it.Unit)), outCell{}, outCell{}, outCell{}, outCell{}, outCell{}, outCell{}, wrapCell(note))
			}
		}
	}
}

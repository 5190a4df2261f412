package sheet

import (
	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
)

// The rows of Bid inputs that the build-up refers to.
const (
	inputTax = firstRow + iota
	inputContingency
	inputOverhead
	inputProfit
	inputProfitOn
	inputBond
	inputRound
)

// rateRows are the settings of the build-up in the order of their rows.
var rateRows = []takeoff.SettingID{
	takeoff.SetSalesTax, takeoff.SetContingency, takeoff.SetOverhead, takeoff.SetProfit, takeoff.SetProfitOn, takeoff.SetBond, takeoff.SetRoundBidTo,
}

// inputs is the rates as typed cells, and the drivers as values.
func (p *priced) inputs() (*page, error) {
	pg := newPage(tabInputs, "Bid inputs", p.under, "Boxed cells are yours to change: the bid follows. Copy what you keep to tab Job, the next run reads that.")
	pg.table, pg.tableCols, pg.landscape = "BidInputs", 5, false
	pg.head("Name", ">Value", "Unit", "What it is", "From")
	r := p.bid.Rates
	rates := map[takeoff.SettingID]decimal.Decimal{takeoff.SetSalesTax: r.SalesTax, takeoff.SetContingency: r.Contingency,
		takeoff.SetOverhead: r.Overhead, takeoff.SetProfit: r.Profit, takeoff.SetBond: r.Bond}
	settings := map[takeoff.SettingID]takeoff.Setting{}
	for _, s := range takeoff.Catalogue {
		settings[s.ID] = s
	}
	for _, id := range rateRows {
		s := settings[id]
		value, unit := outCell{look: asInPercent, value: storedNumber(rates[id])}, "%"
		switch id {
		case takeoff.SetProfitOn:
			word := "cost"
			if r.ProfitOnPrice {
				word = "price"
			}
			value, unit = outCell{look: asInText, value: word}, "cost or price"
		case takeoff.SetRoundBidTo:
			value, unit = outCell{look: asInMoney, value: storedNumber(r.RoundTo)}, p.currency()
		}
		pg.add(textCell(s.Name), value, textCell(unit), textCell(s.Help), p.settingFrom(id))
	}
	choices, err := inputChoices()
	if err != nil {
		return nil, err
	}
	pg.choices = choices
	for _, d := range p.t.Drivers {
		pg.add(textCell(d.Name), quantityCell(d.Quantity), textCell(string(d.Unit)), textCell("driver: the job's total"), textCell("R-FACTOR"))
	}
	return pg, nil
}

// settingFrom says where a setting's value was typed, or that it is the default.
func (p *priced) settingFrom(id takeoff.SettingID) outCell {
	v := p.job.Settings.Value(id)
	if !v.Typed {
		return textCell("default")
	}
	return p.placeCell(v.At)
}

// inputChoices are what the cells to play with take: rates from nothing up, one of two words, a step above nothing.
func inputChoices() ([]*excelize.DataValidation, error) {
	rate, word, step := excelize.NewDataValidation(true), excelize.NewDataValidation(false), excelize.NewDataValidation(false)
	for _, row := range []int{inputTax, inputContingency, inputOverhead, inputProfit, inputBond} {
		rate.SetSqref(cellRef("", "B", row))
	}
	if err := rate.SetRange(0, 10, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorBetween); err != nil {
		return nil, err
	}
	rate.SetError(excelize.DataValidationErrorStyleStop, "A rate", "Type a percentage, such as 5%.")
	word.SetSqref(cellRef("", "B", inputProfitOn))
	if err := word.SetDropList([]string{"cost", "price"}); err != nil {
		return nil, err
	}
	word.SetError(excelize.DataValidationErrorStyleStop, "Profit on", "Type cost or price.")
	step.SetSqref(cellRef("", "B", inputRound))
	if err := step.SetRange(0, 0, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorGreaterThan); err != nil {
		return nil, err
	}
	step.SetError(excelize.DataValidationErrorStyleStop, "Round bid to", "Type an amount above 0.")
	return []*excelize.DataValidation{rate, word, step}, nil
}

package cmd

import (
	"strings"

	"github.com/shopspring/decimal"
)

// money prints an amount with the currency's minor unit and its thousands apart: 12,430.50.
func money(d decimal.Decimal, minor int32) string {
	s := d.StringFixed(minor)
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	whole, frac, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if frac != "" {
		frac = "." + frac
	}
	return sign + whole + frac
}

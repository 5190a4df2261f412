package takeoff

import "strings"

// factor is a part of a derivation: a formula of its own operands, to be joined with others in one line.
type factor struct {
	text     string
	operands []Operand
}

// by is a factor; no text: none.
func by(text string, operands ...Operand) factor { return factor{text, operands} }

// join takes a factor's operands into the derivation and gives the factor's text, in parentheses where it is a sum. An
// operand whose name stands there with another value is told apart by the term's number.
func (h *How) join(f factor, no string) string {
	text := f.text
	for _, o := range f.operands {
		switch same, taken := h.has(o); {
		case same:
		case taken:
			text = renamed(text, o.Name, o.Name+no)
			o.Name += no
			h.Operands = append(h.Operands, o)
		default:
			h.Operands = append(h.Operands, o)
		}
	}
	if strings.ContainsAny(text, "+−") && !call1(text) {
		return "(" + text + ")"
	}
	return text
}

// has tells whether an operand of that name stands there, and whether with the same value.
func (h *How) has(o Operand) (same, taken bool) {
	for i := range h.Operands {
		if p := &h.Operands[i]; p.Name == o.Name {
			return p.Unit == o.Unit && p.Value.Cmp(o.Value) == 0, true
		}
	}
	return false, false
}

// call1 tells whether a text is products of one call and names only, so that its sums are all inside parentheses.
func call1(text string) bool {
	depth := 0
	for _, c := range text {
		switch {
		case c == '(':
			depth++
		case c == ')':
			depth--
		case depth == 0 && (c == '+' || c == '−'):
			return false
		}
	}
	return true
}

// renamed puts another name for an operand's in a formula.
func renamed(formula, from, to string) string {
	var b strings.Builder
	for i := 0; i < len(formula); {
		j := i
		for j < len(formula) && nameByte(formula[j], j > i) {
			j++
		}
		switch {
		case j == i:
			b.WriteByte(formula[i])
			i++
			continue
		case formula[i:j] == from:
			b.WriteString(to)
		default:
			b.WriteString(formula[i:j])
		}
		i = j
	}
	return b.String()
}

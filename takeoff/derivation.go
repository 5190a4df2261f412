package takeoff

import "strings"

// factor is a part of a derivation: a formula of its own operands, to be joined with others in one line.
type factor struct {
	text     string
	operands []Operand
}

// by is a factor, until its bars are emitted.
func (s *steel) by(text string, operands ...Operand) factor {
	return factor{text, s.aside(nil, operands)}
}

// more is a factor with a text and operands after its own.
func (s *steel) more(f factor, text string, operands ...Operand) factor {
	return factor{s.words(f.text, text), s.aside(f.operands, operands)}
}

// aside copies operands to where those of the factors at hand are kept.
func (s *steel) aside(a, b []Operand) []Operand {
	if cap(s.factors)-len(s.factors) < len(a)+len(b) {
		s.factors = make([]Operand, 0, 64+2*cap(s.factors)) // the factors there are keep the old memory
	}
	n := len(s.factors)
	s.factors = append(append(s.factors, a...), b...)
	return s.factors[n:len(s.factors):len(s.factors)]
}

// join takes a factor's operands into the derivation and adds the factor's text to a formula's, in parentheses where it is
// a sum. An operand whose name stands there with another value is told apart by the term's number.
func (h *How) join(formula []byte, f factor, no string) []byte {
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
	if isSum(text) {
		return append(append(append(formula, '('), text...), ')')
	}
	return append(formula, text...)
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

// isSum tells whether a text has terms: a + or − outside all parentheses.
func isSum(text string) bool {
	depth := 0
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '(':
			depth++
		case ')':
			depth--
		case '+', "−"[0]:
			if depth == 0 && (text[i] == '+' || strings.HasPrefix(text[i:], "−")) {
				return true
			}
		}
	}
	return false
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

package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/exact"
)

// checkHow proves that every line's derivation works out to its quantity, with nothing unnamed and nothing unused.
func checkHow(t assert.TestingT, out *Takeoff) {
	for _, l := range out.Lines {
		where := fmt.Sprintf("%s %s of %s: %s", l.Rule, l.Item, l.Wall, l.How)
		v, used, err := evaluate(l.How)
		if !assert.NoError(t, err, where) {
			continue
		}
		assert.Truef(t, v.Quantity().Equal(l.Quantity), "%s is %s, the line says %s", where, v.Quantity(), l.Quantity)
		for _, o := range l.How.Operands {
			assert.Truef(t, used[o.Name], "%s: operand %s is not in the formula", where, o.Name)
			assert.NotEmptyf(t, o.From, "%s: operand %s comes from nowhere", where, o.Name)
		}
	}
}

// evaluate works a derivation out from its text: + − · / with their usual ranks, parentheses, ceil, floor, min, max.
func evaluate(h How) (v exact.Num, used map[string]bool, err error) {
	e := &evaluator{s: h.Formula, used: map[string]bool{}, values: map[string]exact.Num{}}
	for _, o := range h.Operands {
		if _, twice := e.values[o.Name]; twice {
			return v, nil, fmt.Errorf("operand %s stands twice", o.Name)
		}
		e.values[o.Name] = o.Value
	}
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("formula %q: %v", h.Formula, r)
		}
	}()
	v = e.sum()
	if e.s != "" {
		panic("left over: " + e.s)
	}
	return v, e.used, nil
}

type evaluator struct {
	s      string
	values map[string]exact.Num
	used   map[string]bool
}

func (e *evaluator) take(token string) bool {
	e.s = strings.TrimLeft(e.s, " ")
	rest, ok := strings.CutPrefix(e.s, token)
	if ok {
		e.s = rest
	}
	return ok
}

func (e *evaluator) must(token string) {
	if !e.take(token) {
		panic("no " + token + " before " + e.s)
	}
}

func (e *evaluator) sum() exact.Num {
	v := e.product()
	for {
		switch {
		case e.take("+"):
			v = v.Add(e.product())
		case e.take("−"):
			v = v.Sub(e.product())
		default:
			return v
		}
	}
}

func (e *evaluator) product() exact.Num {
	v := e.factor()
	for {
		switch {
		case e.take("·"):
			v = v.Mul(e.factor())
		case e.take("/"):
			v = v.Div(e.factor())
		default:
			return v
		}
	}
}

func (e *evaluator) factor() exact.Num {
	if e.take("(") {
		v := e.sum()
		e.must(")")
		return v
	}
	if e.take("−") {
		return e.factor().Neg()
	}
	i := 0
	for i < len(e.s) && (nameByte(e.s[i], i > 0) || e.s[i] >= '0' && e.s[i] <= '9' || e.s[i] == '.') {
		i++
	}
	if i == 0 {
		panic("no value before " + e.s)
	}
	word := e.s[:i]
	e.s = e.s[i:]
	if word[0] >= '0' && word[0] <= '9' {
		return exact.Dec(decimal.RequireFromString(word))
	}
	if e.take("(") {
		args := []exact.Num{e.sum()}
		for e.take(",") {
			args = append(args, e.sum())
		}
		e.must(")")
		return call(word, args)
	}
	v, ok := e.values[word]
	if !ok {
		panic("no operand " + word)
	}
	e.used[word] = true
	return v
}

func call(name string, args []exact.Num) exact.Num {
	v := args[0]
	switch {
	case name == "ceil" && len(args) == 1:
		return exact.Int(v.Ceil())
	case name == "floor" && len(args) == 1:
		return exact.Int(v.Floor())
	case name == "min" || name == "max":
		for _, a := range args[1:] {
			if name == "min" {
				v = exact.Min(v, a)
			} else {
				v = exact.Max(v, a)
			}
		}
		return v
	}
	panic("no function " + name)
}

func TestEvaluateRanksAndFunctions(t *testing.T) {
	// (ceil(7/2)+1)·3−4/2·min(5,2,9) = 5·3 − 2·2 = 11
	h := How{Formula: "(ceil(L/s)+1)·n−4/2·min(5, two, 9)", Operands: []Operand{
		Count("L", 7, "x"), Count("s", 2, "x"), Count("n", 3, "x"), Count("two", 2, "x"),
	}}
	v, used, err := evaluate(h)
	require.NoError(t, err)
	assert.Equal(t, "11", v.String())
	assert.Len(t, used, 4)
	for _, bad := range []string{"n+", "(n", "n)", "m", "round(n)", "n n"} {
		_, _, err := evaluate(How{Formula: bad, Operands: []Operand{Count("n", 1, "x")}})
		assert.Error(t, err, bad)
	}
}

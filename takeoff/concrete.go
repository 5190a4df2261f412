package takeoff

import (
	"fmt"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// pourVolumes are the volumes of each pour, walls and footings apart, in the job's unit of volume: the sums of the finished
// lines, so that a spreadsheet's sum is the tool's sum.
type pourVolumes struct {
	names []string // in order of first mention
	byKey map[string]*pourVolume
	// Walls that stand together are mostly of one pour: the last asked for.
	last     *pourVolume
	lastName string
}

// pourVolume is a pour's concrete (R-POUR).
type pourVolume struct {
	sum    kinds
	levels []levelVolume
	walls  []*WallLines // walls with a zone in the pour, in order
}

// kinds are sums of finished volumes by kind: walls, footings.
type kinds [2]exact.Num

// finished is the sum of a kind, of no more decimals than its volumes.
func (k *kinds) finished(kind int) decimal.Decimal {
	if k[kind].IsZero() {
		return decimal.Decimal{}
	}
	return k[kind].Round(exact.QuantityPlaces)
}

func (k *kinds) take(of *kinds) {
	for kind := range k {
		k[kind] = k[kind].Add(of[kind])
	}
}

// levelVolume is a level's part of it.
type levelVolume struct {
	level string
	sum   kinds
}

func (v *pourVolumes) of(pour string) *pourVolume {
	if v.last != nil && v.lastName == pour {
		return v.last
	}
	if v.byKey == nil {
		v.byKey = map[string]*pourVolume{}
	}
	k := ItemKey(pour)
	pv := v.byKey[k]
	if pv == nil {
		pv = &pourVolume{}
		v.byKey[k] = pv
		v.names = append(v.names, pour)
	}
	v.last, v.lastName = pv, pour
	return pv
}

// add adds a finished volume of concrete of a kind.
func (v *pourVolumes) add(pour, level string, kind int, volume decimal.Decimal) {
	var sum kinds
	sum[kind] = exact.Dec(volume)
	pv := v.of(pour)
	pv.sum.take(&sum)
	pv.at(level).take(&sum)
}

// at are the sums of a level.
func (pv *pourVolume) at(level string) *kinds {
	for i := range pv.levels {
		if sameName(pv.levels[i].level, level) {
			return &pv.levels[i].sum
		}
	}
	pv.levels = append(pv.levels, levelVolume{level: level})
	return &pv.levels[len(pv.levels)-1].sum
}

// shares are the parts of its levels.
func (pv *pourVolume) shares() []LevelShare {
	var all []LevelShare
	for i := range pv.levels {
		l := &pv.levels[i]
		all = append(all, LevelShare{l.level, l.sum.finished(wallKind), l.sum.finished(footingKind)})
	}
	return all
}

// The two kinds of concrete of a pour.
const (
	wallKind = iota
	footingKind
)

// pourRow is the Pours row of that name; nil when there is none.
func (j *Job) pourRow(pour string) *PourRow {
	for _, r := range j.Pours {
		if sameName(r.Name, pour) {
			return r
		}
	}
	return nil
}

// concreteItem is the item of a pour's wall or footing concrete: concrete-<mix>.
func (p *pass) concreteItem(pour string, kind int) string {
	k := concreteKey{pour, kind}
	item, ok := p.concreteItems[k]
	if !ok {
		item = p.job.concreteItem(pour, kind)
		p.concreteItems[k] = item
	}
	return item
}

type concreteKey struct {
	pour string
	kind int
}

func (j *Job) concreteItem(pour string, kind int) string {
	mix := [...]string{"wall", "footing"}[kind]
	if r := j.pourRow(pour); r != nil {
		if typed := [...]string{r.Mix, r.FootingMix}[kind]; typed != "" {
			mix = typed
		}
	}
	return "concrete-" + ItemName(mix)
}

// ConcreteItems are the items of a pour's concrete, of its walls and of its footings: concrete-<mix>.
func (j *Job) ConcreteItems(pour string) (walls, footings string) {
	return j.concreteItem(pour, wallKind), j.concreteItem(pour, footingKind)
}

// yards is the divisor of a formula in cubic feet, and its text: /27 in yards, nothing in metric.
func (p *pass) perVolume() string {
	if p.units.Volume == unit.CuYard {
		return "/27"
	}
	return ""
}

// concrete adds a line of concrete of one repeat of the wall: volume in nm³.
func (p *pass) concrete(w *WallLines, at place, kind int, rule string, volume exact.Num, how How) {
	if volume.IsZero() {
		p.volumes.add(at.Pour, at.Level, kind, decimal.Decimal{})
		return
	}
	p.line(w, at, rule, p.concreteItem(at.Pour, kind), p.units.Volume, p.units.Volume.Of(volume), how)
	p.volumes.add(at.Pour, at.Level, kind, p.out.Lines[len(p.out.Lines)-1].Quantity)
	p.drive([...]string{"wall-concrete", "footing-concrete"}[kind], at, volume.Times(w.Run.Count))
}

// OpeningArea is the area of the wall's openings between two heights, in nm².
func (w *WallLines) OpeningArea(bottom, top length.Length) exact.Num {
	sum := exact.Num{}
	for _, h := range w.Holes {
		if in := min(h.Head(), top) - max(h.Sill, bottom); in > 0 {
			sum = sum.Add(exact.Len(h.Width).Mul(exact.Len(in)))
		}
	}
	return sum
}

// TeeGrowth is what the centreline of a band grows by at tees for concrete: the foam of the wall met, own foam where it is
// unknown (R-CORE, R-LIFT).
func (w *WallLines) TeeGrowth(b *Band) length.Length {
	grow := length.Length(0)
	for e := range w.Joints {
		j := &w.Joints[e]
		if j.Kind != TurnTee || b.Free[e] {
			continue
		}
		if j.Tee != nil {
			grow += j.Tee.ZoneAt(b.Bottom + w.Base - j.Tee.Base).Forms.Foam
		} else {
			grow += b.Zone.Forms.Foam
		}
	}
	return grow
}

// wallConcrete is R-CORE, with the area, length and joint drivers of a wall.
func (p *pass) wallConcrete(w *WallLines) {
	u := p.units
	n := w.Run.Count
	for _, z := range w.Zones {
		if pv := p.volumes.of(z.Pour); len(pv.walls) == 0 || pv.walls[len(pv.walls)-1] != w {
			pv.walls = append(pv.walls, w)
		}
	}
	for _, b := range w.Bands {
		at := wallPlace(w, b.Zone)
		grow := w.TeeGrowth(b)
		line := b.Lc + grow
		open := w.OpeningArea(b.Bottom, b.Top)
		area := w.Area(line, b.Bottom, b.Top)
		net := area.Sub(open)
		core := b.Zone.Forms.Core
		operands := append(make([]Operand, 0, 5), u.Len("core", core, w.Cell("core").String()))
		face := "Lc·h"
		lc := u.Len("Lc", b.Lc, w.centreline())
		switch {
		case w.Raked() && b.Top > w.Lesser():
			face = "A"
			operands = append(operands, Operand{"A", u.Area.Of(area), u.Area, "R-RAKE area under the slope over the centreline"})
		case grow > 0:
			face = "(Lc+tee)·h"
			operands = append(operands, lc, u.Len("tee", grow, "foam of the wall met"), u.Len("h", b.Top-b.Bottom, w.heightCell()))
		default:
			operands = append(operands, lc, u.Len("h", b.Top-b.Bottom, w.heightCell()))
		}
		if open.Sign() > 0 {
			face = "(" + face + "−open)"
			operands = append(operands, Operand{"open", u.Area.Of(open), u.Area, "Openings of wall " + w.Mark})
		}
		how := p.how(p.words(face, "·core", p.perVolume()), operands...)
		if len(w.Bands) > 1 {
			how.Note = fmt.Sprintf("from %s to %s above the base", b.Bottom.Show(u.System), b.Top.Show(u.System))
		}
		if net.Sign() < 0 {
			p.say(Error, w.Cell("length"), "R-CORE", "wall "+w.Mark, "its openings are larger than its face between %s and %s", b.Bottom.Show(u.System), b.Top.Show(u.System))
			continue
		}
		p.concrete(w, at, wallKind, "R-CORE", net.Mul(exact.Len(core)), how)
		gross := w.Area(b.Lo, b.Bottom, b.Top)
		p.drive("wall-area", at, gross.Times(n))
		p.drive("form-area", at, gross.Sub(open).Times(n))
	}
	at := wallPlace(w, nil)
	p.drive("wall-length", at, exact.Len(w.Lo0).Times(n))
	p.drive("base-length", at, exact.Len(w.Lo0+w.Li0).Times(n))
	for e := range w.Joints {
		j := &w.Joints[e]
		if !j.Counts {
			continue
		}
		switch j.Kind {
		case TurnCorner, TurnInside:
			p.drive("building-corners", at, j.Share().Times(n))
		case TurnTee:
			p.drive("tees", at, exact.Int(n))
		case TurnEnd:
			p.drive("free-ends", at, exact.Int(n))
		}
	}
}

// LedgeLength is the ledge's length on a wall: the exterior line just under its top less openings that cross it, longer at
// exterior corners and shorter at inside ones by d·tan(θ/2) (R-LEDGE). ok is false without a ledge.
func (w *WallLines) LedgeLength() (l length.Length, ok bool) {
	if w.Ledge == nil {
		return 0, false
	}
	b := w.BandUnder(w.LedgeTop)
	foam := b.Zone.Forms.Foam
	d := exact.Frac(int64(w.ledgeDepth(foam)), 2).Sub(exact.Len(foam))
	sum := exact.Len(b.Lo).Sub(exact.Len(w.ledgeOpenings(b)))
	for e := range w.Joints {
		j := &w.Joints[e]
		if !j.Corner() || b.Free[e] {
			continue
		}
		if j.Kind == TurnCorner {
			sum = sum.Add(d.Mul(j.TanHalf()))
		} else {
			sum = sum.Sub(d.Mul(j.TanHalf()))
		}
	}
	return sum.Length(), true
}

// ledgeDepth is p, the depth of the ledge's concrete from the core.
func (w *WallLines) ledgeDepth(foam length.Length) length.Length {
	if w.Ledge.FromCore {
		return w.Ledge.Projection
	}
	return w.Ledge.Projection + foam
}

// ledgeOpenings is the width of the openings that cross the ledge's top, sill < z ≤ head, inside the line.
func (w *WallLines) ledgeOpenings(b *Band) length.Length {
	sum := exact.Num{}
	for _, h := range w.Holes {
		if h.Sill < w.LedgeTop && w.LedgeTop <= h.Head() {
			sum = sum.Add(inside(b.OnLine(h, Exterior), exact.Len(h.Width), b.Lo))
		}
	}
	return sum.Length()
}

// inside is how much of a stretch that starts at x and is that wide lies on a line from 0 to its length.
func inside(x, wide exact.Num, line length.Length) exact.Num {
	from := exact.Max(x, exact.Num{})
	to := exact.Min(x.Add(wide), exact.Len(line))
	return exact.Max(to.Sub(from), exact.Num{})
}

// ledgeConcrete is the concrete of a brick ledge.
func (p *pass) ledgeConcrete(w *WallLines) {
	l, ok := w.LedgeLength()
	if !ok {
		return
	}
	u, b, m := p.units, w.BandUnder(w.LedgeTop), w.Ledge
	at := wallPlace(w, b.Zone)
	depth := w.ledgeDepth(b.Zone.Forms.Foam)
	section := exact.Len(depth).Mul(exact.Len(m.FaceDepth).Add(exact.Frac(int64(m.Taper), 2)))
	p.concrete(w, at, wallKind, "R-LEDGE", section.Mul(exact.Len(l)), How{
		Formula: "L·p·(face+taper/2)" + p.perVolume(),
		Operands: []Operand{
			u.Len("L", l, "R-LEDGE length of ledge "+m.Mark+" on wall "+w.Mark),
			u.Len("p", depth, "projection of Ledges "+m.Mark),
			u.Len("face", m.FaceDepth, "Ledges "+m.Mark),
			u.Len("taper", m.Taper, "Ledges "+m.Mark),
		},
	})
	p.drive("ledge-length", at, exact.Len(l).Times(w.Run.Count))
}

// FootingLength is the length of a wall's footing on its centreline (R-FOOT).
func (w *WallLines) FootingLength() length.Length {
	sum := exact.Len(w.Lc0)
	for e := range w.Joints {
		j := &w.Joints[e]
		switch {
		case j.Kind == TurnEnd:
			sum = sum.Add(exact.Frac(int64(w.Footing.Width-w.T), 2))
		case j.Kind == TurnTee && j.Tee != nil && j.Tee.Footing != nil:
			sum = sum.Sub(exact.Frac(int64(j.Tee.Footing.Width-j.Tee.T), 2))
		}
	}
	return sum.Length()
}

// footingPlace is where a wall's footing belongs: cast with the wall its lower zone's pour, else its own pour or the wall's.
func footingPlace(w *WallLines) place {
	at := wallPlace(w, nil)
	if f := w.Footing; !f.CastWithWall && f.Pour != "" {
		at.Pour = f.Pour
	}
	return at
}

// footing is R-FOOT, R-STEP and R-FORM-FOOT.
func (p *pass) footing(w *WallLines) {
	f := w.Footing
	if f == nil {
		return
	}
	u, at := p.units, footingPlace(w)
	l := w.FootingLength()
	if l <= 0 {
		p.say(Error, w.Cell("footing"), "R-FOOT", "Footing, wall "+w.Mark, "nothing is left of the footing between the footings it meets")
		return
	}
	length3 := u.Len("L", l, w.underWall())
	of := p.words("Footings ", f.Mark)
	width, depth := u.Len("width", f.Width, of), u.Len("depth", f.Depth, of)
	p.concrete(w, at, footingKind, "R-FOOT", volume(l, f.Width, f.Depth), p.how(p.words("L·width·depth", p.perVolume()), length3, width, depth))
	p.drive("footing-length", at, exact.Len(l).Times(w.Run.Count))
	p.footingForms(w, at, l)
	for e := range w.Joints {
		j := &w.Joints[e]
		// The step belongs to the wall that ends at the joint.
		if n := j.Other; e == 1 && n != nil && n.Footing != nil && n.Base != w.Base {
			p.footingStep(w, n, at)
		}
	}
}

// footingStep is the concrete of a step between two footings; its bars are in rebar files.
func (p *pass) footingStep(w, n *WallLines, at place) {
	u, f := p.units, w.Footing
	rise := max(n.Base-w.Base, w.Base-n.Base)
	p.line(w, at, "R-STEP", "footing-step", unit.Each, exact.Int(1), How{Formula: "1", Note: "step to wall " + n.Mark})
	p.concrete(w, at, footingKind, "R-STEP", volume(f.Width, f.Depth, rise), How{
		Formula: "width·depth·rise" + p.perVolume(),
		Operands: []Operand{
			u.Len("width", f.Width, "Footings "+f.Mark), u.Len("depth", f.Depth, "Footings "+f.Mark),
			u.Len("rise", rise, "Base of walls "+w.Mark+" and "+n.Mark),
		},
	})
	if course := w.Forms.CourseHeight; course > 0 && rise%course != 0 {
		p.say(Warning, w.Cell("base"), "R-STEP", "Base, wall "+w.Mark, "the step of %s to wall %s is no multiple of the %s course",
			rise.Show(u.System), n.Mark, course.Show(u.System))
	}
}

// footingForms is R-FORM-FOOT.
func (p *pass) footingForms(w *WallLines, at place, l length.Length) {
	u, f := p.units, w.Footing
	ends := int64(0)
	for e := range w.Joints {
		if w.Joints[e].Kind == TurnEnd {
			ends++
		}
	}
	boards := 2*l + length.Length(ends)*f.Width
	how := p.how("2·L", u.Len("L", l, w.underWall()))
	if ends > 0 {
		how = p.how("2·L+ends·width", u.Len("L", l, w.underWall()), Count("ends", ends, "free ends"), u.Len("width", f.Width, p.words("Footings ", f.Mark)))
	}
	p.line(w, at, "R-FORM-FOOT", "footing-board", u.Length, u.Length.Of(exact.Len(boards)), how)
	spacing := p.set.Len(SetStakeSpacing)
	half, formula := int64(2), "ceil(boards/s)"
	if f.CastWithWall {
		half, formula = 3, "ceil(1.5·boards/s)"
	}
	p.line(w, at, "R-FORM-FOOT", "stake", unit.Each, exact.Int(ceilDiv(half*int64(boards), 2*int64(spacing))), p.how(formula,
		u.Len("boards", boards, "R-FORM-FOOT"), u.Len("s", spacing, "Job Stake spacing")))
	if f.CastWithWall {
		s := p.set.Len(SetSpreaderSpacing)
		p.line(w, at, "R-FORM-FOOT", "spreader", unit.Each, exact.Int(ceilDiv(int64(l), int64(s))+1), p.how("ceil(L/s)+1",
			u.Len("L", l, w.underWall()), u.Len("s", s, "Job Spreader spacing")))
	}
}

// pads is R-PAD.
func (p *pass) pads() {
	u := p.units
	for _, d := range p.job.Pads {
		v := volume(d.Length, d.Width, d.Depth).Times(int64(d.Count))
		at := place{Pour: d.Pour}
		p.put(afterWalls, Line{
			Pour: d.Pour, Item: p.concreteItem(d.Pour, footingKind), Unit: u.Volume, Rule: "R-PAD", At: d.At,
			Quantity: u.Volume.Of(v).Quantity(),
			How: How{Formula: "n·L·W·D" + p.perVolume(), Note: "pad " + d.Mark, Operands: []Operand{
				Count("n", int64(d.Count), "Pads "+d.Mark), u.Len("L", d.Length, "Pads "+d.Mark),
				u.Len("W", d.Width, "Pads "+d.Mark), u.Len("D", d.Depth, "Pads "+d.Mark),
			}},
		})
		p.volumes.add(d.Pour, "", footingKind, u.Volume.Of(v).Quantity())
		p.drive("footing-concrete", at, v)
	}
}

// volume is a box in nm³.
func volume(a, b, c length.Length) exact.Num {
	return exact.Len(a).Mul(exact.Len(b)).Mul(exact.Len(c))
}

// ceilDiv is the least whole number not below a/b; a ≥ 0, b > 0.
func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }

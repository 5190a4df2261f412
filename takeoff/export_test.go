package takeoff

// InPieces takes a job off in pieces of at least so many walls, side by side.
func InPieces(job *Job, walls int) *Takeoff {
	g, findings := Trace(job)
	p := newPass(job, g, nil)
	p.out.Findings = findings
	if HasErrors(findings) {
		return p.out
	}
	p.countPieces(g.pieces(walls))
	p.jobWide()
	return p.out
}

// AllText is all of a takeoff but its geometry.
var AllText = allText

package takeoff

// Geometry is the traced lines of a job's walls.
type Geometry struct{}

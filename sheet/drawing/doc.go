// Package drawing draws what a takeoff worked out: the plan of each level and the elevation of each wall.
//
// One painter on gonum's vector graphics serves PNG, SVG and PDF, so that the picture in the workbook and the files are
// the same drawing; the same takeoff gives the same bytes. Floats are at home here: a drawing decides nothing, every
// number it shows was settled in takeoff. It draws only what the schedule says: no north arrow without a north, and runs
// whose places relative to one another are not known stand side by side with a note. A takeoff with errors is not to be
// drawn.
//
// Read Sheet first, then Plans and Elevations. Colours are of Okabe and Ito's set (colour.go), and never the only sign:
// pours have hatches and names, cut pieces a stroke and a length, core widths their text.
package drawing

// Package sheet reads and writes workbooks: the schedule that comes in, the priced workbook and the orders that go out.
//
// It is the only package that knows spreadsheets, and the only one that touches files. Reading trusts nothing: Open looks
// at every byte of a workbook once and refuses, in one line, what is damaged, encrypted, too large or no workbook at all,
// before any cell is used. Writing replaces a file whole or not at all (WriteFile) and gives the same bytes for the same
// input (Save).
//
// Read Open first, then ReadSchedule, WriteFile and Save.
package sheet

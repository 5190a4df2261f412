// Command wallbill turns a wall schedule workbook into a priced, explained, comparable bid.
package main

import (
	"os"

	"wallbill/cmd"
)

func main() {
	setMemory()
	os.Exit(cmd.Run(os.Args[1:], cmd.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}

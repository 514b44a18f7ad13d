//go:build !linux

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "faults: error: the faults are made with what Linux offers, and this is another system")
	os.Exit(1)
}

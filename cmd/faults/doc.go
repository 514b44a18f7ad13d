// Command faults does to gravid what disks, people and other programs may do to
// it, and looks whether it bears it.
//
//	go run ./cmd/faults
//	go run ./cmd/faults --only kill --rounds 500 --seed 7
//	go run ./cmd/faults --only fuzz --minutes 60
//	go run ./cmd/faults --list
//
// It builds the program, runs it in processes of its own on clubs in a temporary
// folder, and makes the faults from outside: it kills the program, fills the disk,
// takes rights away, changes logs while they are read, starts it twice, sets its
// clock back, damages tables, and hands it hostile logs and names. For each case
// it prints what it did, what it expected and what it found, and a tally at the
// end. Verdicts are
//
//	held       as expected
//	FAULT      otherwise
//	not tried  the fault cannot be made on this machine, and why
//
// The same seed makes the same clubs, bits and moments; when a moment comes
// within the program's own work is up to the machine. Exit status: 0 all held, 1 a
// fault or the harness could not go on, 2 wrong usage.
//
// It is for those who work on gravid. It reads tables and documents by itself and
// not with gravid's packages, so that a mistake of theirs cannot hide itself. The fuzz
// targets stand beside the parsers; --only fuzz runs each of them for its share of the
// minutes and tallies the executions. An input that breaks a law is kept by go test
// below the package's testdata/fuzz.
package main

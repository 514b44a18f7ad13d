//go:build linux

package main

// known are the faults that gravid has and that are not mended yet, by check and
// case, with what mends them. The harness reports them as faults all the same. Its
// test wants these and no others, so whoever mends one takes it from the list.
var known = map[string]string{}

package duration

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// rowsTogether is how many rows of a likelihood are added up by themselves. The sums of
// these, in order, do not depend on the number of processors.
const rowsTogether = 2048

// inParallel calls do with 0 to n-1, spread over the processors. What it writes must
// depend on its argument only.
func inParallel(n int, do func(k int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for k := range n {
			do(k)
		}
		return
	}
	var taken atomic.Int64
	var wait sync.WaitGroup
	for range workers {
		wait.Go(func() {
			for k := int(taken.Add(1)) - 1; k < n; k = int(taken.Add(1)) - 1 {
				do(k)
			}
		})
	}
	wait.Wait()
}

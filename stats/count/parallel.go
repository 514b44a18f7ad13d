package count

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// inParallel starts a worker for each processor, at most n, and hands each a
// function that returns the next of 0 to n-1 still to be done, or n once there
// is none. What the workers write must depend on those numbers only.
func inParallel(n int, worker func(next func() int)) {
	var taken atomic.Int64
	next := func() int { return min(int(taken.Add(1))-1, n) }
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() { worker(next) })
	}
	wait.Wait()
}

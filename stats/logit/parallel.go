package logit

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// workers is how many processors n calls are spread over.
func workers(n int) int { return max(1, min(runtime.GOMAXPROCS(0), n)) }

// each calls do(0) to do(n-1), spread over the processors. The calls must not
// share anything they write.
func each(n int, do func(i int)) {
	eachBy(n, func(_, i int) { do(i) })
}

// eachBy does so with the number of the worker, from 0 to workers(n)-1, which makes one
// call at a time.
func eachBy(n int, do func(worker, i int)) {
	crew := workers(n)
	if crew == 1 {
		for i := range n {
			do(0, i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for worker := range crew {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(worker, i)
			}
		})
	}
	wg.Wait()
}

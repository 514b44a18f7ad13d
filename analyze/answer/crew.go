package answer

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// eachOf calls do(0) to do(n-1), at most atOnce of them side by side and no more than there
// are processors. The calls must not share anything they write: results are put in their
// places, so that they do not depend on which call ends first.
func eachOf(n, atOnce int, do func(i int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(n, atOnce, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	all.Wait()
}

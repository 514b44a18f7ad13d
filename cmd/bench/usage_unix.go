//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
	"time"
)

// peakMemory is the largest resident memory of a process that has ended, in MiB.
func peakMemory(p *os.ProcessState) float64 {
	use, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" || runtime.GOOS == "ios" { // in bytes there, elsewhere in KiB
		return float64(use.Maxrss) / (1 << 20)
	}
	return float64(use.Maxrss) / (1 << 10)
}

// processorTime is what this process has used of the processors so far, in seconds.
func processorTime() float64 {
	var use syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &use) != nil {
		return 0
	}
	return time.Duration(use.Utime.Nano() + use.Stime.Nano()).Seconds()
}

package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// A run is short and makes much that soon is garbage: it is collected rarely while there is room, and up to where a job of
// ten thousand walls comes to, memory is kept under roomy. A job that needs more gets it. What a small job makes in all is
// not collected once. GOGC and GOMEMLIMIT still hold for whoever sets them.
const (
	garbagePercent = 400
	firstPercent   = 1600      // of the 4 MB that the runtime begins with
	roomy          = 360 << 20 // with it the process stays below 400 MB
	crowded        = 320 << 20 // living memory from which the limit would make the collector run all the time
)

func setMemory() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	debug.SetGCPercent(firstPercent)
	debug.SetMemoryLimit(roomy)
	first := true
	afterEachCollection(func() {
		if first {
			first = false
			debug.SetGCPercent(garbagePercent)
		}
		live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
		if metrics.Read(live); live[0].Value.Kind() == metrics.KindUint64 {
			debug.SetMemoryLimit(memoryFor(int64(live[0].Value.Uint64())))
		}
	})
}

// memoryFor is the limit where so much memory lives.
func memoryFor(live int64) int64 {
	if live <= crowded {
		return roomy
	}
	return max(roomy, live/4*5)
}

// afterEachCollection calls f, on a goroutine of the runtime's, after every collection.
func afterEachCollection(f func()) {
	type mark struct{ _ [16]byte }
	var again func()
	again = func() {
		runtime.SetFinalizer(new(mark), func(*mark) {
			f()
			again()
		})
	}
	again()
}

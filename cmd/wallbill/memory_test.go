package main

import (
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestMemoryFor(t *testing.T) {
	const mb = 1 << 20
	require.EqualValues(t, 360*mb, memoryFor(0))
	require.EqualValues(t, 360*mb, memoryFor(320*mb))
	require.EqualValues(t, 500*mb, memoryFor(400*mb), "a quarter more than lives")
}

func TestAfterEachCollection(t *testing.T) {
	seen := make(chan bool, 100)
	afterEachCollection(func() { seen <- true })
	for range 3 {
		runtime.GC()
		select {
		case <-seen:
		case <-time.After(time.Minute):
			t.Fatal("no call after a collection")
		}
	}
}

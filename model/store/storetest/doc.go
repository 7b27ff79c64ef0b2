// Package storetest says what every store must do, whatever the engine under
// it: what is put is got, what must not change does not, a write is kept whole
// or not at all, many writers at once all get through, and a store opened again
// holds what it held. It knows nothing of any engine; a new engine passes when
// every scenario does.
package storetest

// Package cachetest says what every cache must do, and has what it takes to
// show it: a real redis-server started by the test, which can be killed, hung,
// resumed and started again, and a listener that never answers.
package cachetest

// Package page holds what people look at: the bankside page, with its styles
// and scripts embedded. It renders what it is given and asks nothing.
package page

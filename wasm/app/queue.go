//go:build js && wasm

package main

// A queue takes items without ever blocking, as callbacks of the browser must
// not, and rings a bell for the goroutine that takes them out.
type queue[T any] struct {
	items []T
	bell  chan struct{} // room for one
}

func newQueue[T any]() *queue[T] { return &queue[T]{bell: make(chan struct{}, 1)} }

func (q *queue[T]) put(item T) {
	q.items = append(q.items, item)
	select {
	case q.bell <- struct{}{}:
	default:
	}
}

// take gives all items that are there, in order.
func (q *queue[T]) take() []T {
	items := q.items
	q.items = nil
	return items
}

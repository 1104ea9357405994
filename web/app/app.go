// Package app is the whole app without a screen: a state, messages that change
// it, and effects it asks for. Update is deterministic: the time and every
// random byte come in with a message, so a journey through the app runs as a
// native test.
package app

// Package cases runs the worked cases of testdata, and a coach's own: carcasses
// and their grades, placings and their scores, whole contests, phones and what
// became of their records. Each case is a file that states its source.
//
// The package holds tests only. testdata/README.md tells how a case is written
// and how a folder of one's own is run.
package cases

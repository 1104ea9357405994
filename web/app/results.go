package app

import "keelcard/engine/contest"

// Results is what of the results is shown.
type Results struct{}

// Scored is the results of the open contest.
type Scored = contest.Scored

func resultHandlers() handlers { return handlers{} }

// Scored computes the results of the open contest, once for the records as
// they stand.
func (o *Open) Scored() (*Scored, error) {
	if o.scored == nil {
		scored, err := o.Contest.Score()
		if err != nil {
			return nil, err
		}
		o.scored = scored
	}
	return o.scored, nil
}

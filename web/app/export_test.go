package app

import "keelcard/engine/seal"

// Most tests of backups are about what is in them.
func init() { backupRounds = 1000 }

// FullRounds seals backups as people get them until the test is over.
func FullRounds(t interface{ Cleanup(func()) }) {
	before := backupRounds
	backupRounds = seal.Rounds
	t.Cleanup(func() { backupRounds = before })
}

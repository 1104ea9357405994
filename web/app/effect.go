package app

// An Effect is something the page asks of the outside: the disk, a file, the
// screen. Update returns effects as data; the browser side carries them out
// and answers, where there is an answer, with a message.
type Effect interface{ effect() }

// Op is one change of the store: Value under Key in Bucket, or its removal
// when Value is nil.
type Op struct {
	Bucket, Key string
	Value       []byte
}

// Entry is one stored value.
type Entry struct {
	Key   string
	Value []byte
}

// Store is what the app needs of a disk. Buckets are the ones in Buckets.
type Store interface {
	// Load reads the values whose keys begin with prefix, in key order; all of
	// the bucket when prefix is "".
	Load(bucket, prefix string) ([]Entry, error)
	// Get reads one value, nil when there is none.
	Get(bucket, key string) ([]byte, error)
	// Commit makes all changes or none, and returns once they are on disk.
	Commit(ops []Op) error
}

// The buckets of the store.
const (
	BucketMeta    = "meta"    // this phone: its key, initials, settings, the open page
	BucketContest = "contest" // one entry a contest: its heads
	BucketRecord  = "record"  // contest/phone/number → record bytes
	BucketDraft   = "draft"   // contest/subject → a card or key begun and not finished
	BucketBlob    = "blob"    // content hash → photo bytes
)

// Buckets lists every bucket of the store.
var Buckets = []string{BucketMeta, BucketContest, BucketRecord, BucketDraft, BucketBlob}

// Save asks for the changes to be committed together. The answer is "saved"
// with Tag as its first argument, or "save-failed" with Tag, what to do about it,
// and why as its text. After one that failed all others fail, so that the disk
// has no gap, until one comes with Again: it holds what failed.
type Save struct {
	Tag   string
	Ops   []Op
	Again bool
}

// Load asks for the stored values whose keys begin with Prefix. The answer is
// "loaded" with Tag as its first argument and the entries, or "load-failed".
type Load struct {
	Tag, Bucket, Prefix string
}

// Pick asks for files; each comes as a "file" message with Tag, the name and
// the bytes.
type Pick struct {
	Tag      string
	Accept   string // as in an input element's accept; "" for any
	Multiple bool
	Photo    bool // a photo from the camera, made small before it arrives
}

// Offer hands a file to the share sheet, or saves it where there is none or
// Save is set. The answer is "offered" with Tag and how: "shared", "saved",
// or "dropped" when the person closed the sheet.
type Offer struct {
	Tag, Name, Type string
	Bytes           []byte
	Save            bool
}

// ShareText hands a text to the share sheet, or to the clipboard where there
// is none or Copy is set. Hash, when there is one, is a page of this app whose
// whole address is put on a line of its own below the text. The answer is
// "offered" with "shared", "copied" or "dropped".
type ShareText struct {
	Tag, Title, Text, Hash string
	Copy                   bool
}

// Focus moves the keyboard to the element with the id.
type Focus struct{ ID string }

// Top scrolls to the top of the page.
type Top struct{}

// Speak says a text aloud.
type Speak struct{ Text string }

// Print opens the print dialog.
type Print struct{}

// Persist asks the browser to keep the store for good. The answer is
// "persisted" with "yes" or "no".
type Persist struct{}

// Room asks how much room there is. The answer is "room" with the bytes in use,
// the bytes allowed, 0 for unknown, and "yes" or "no": whether the browser
// promised to keep the store.
type Room struct{}

// Reopen asks for the store to be opened again after it was closed. The answer is
// "reopened" with what it holds of the phone itself, or "reopen-failed" with what
// to do about it, and why as its text. After "reopened" with nothing, saves fail
// until one comes with Again.
type Reopen struct{}

// Mark keeps a text where it outlives the store, should the browser empty that.
// The second argument of "boot" is the last one.
type Mark struct{ Text string }

// Route puts the page's address in the address bar, as a new step back when
// Push is set.
type Route struct {
	Hash string
	Push bool
}

// Scheme sets the colour scheme: "bright", "dim" or "" for the system's own.
type Scheme struct{ Name string }

// UpdateShell takes the new version of the app that waits.
type UpdateShell struct{}

// LoadRest asks for the second part of the program. The answer is
// "rest-loaded" or "rest-failed".
type LoadRest struct{}

// Tick asks for the message "tick" after so many milliseconds, or after Calm where
// the person asked for less motion. Its arguments are Tag and Run.
type Tick struct {
	Tag              string
	Run, After, Calm int
}

// Scan opens the camera on the element with the id "camera" and reads picture
// codes, until that element leaves the page. The answers are "scan.opened", for
// every code "scan.code" with its text, and "scan.trouble" with why it ended.
type Scan struct{}

// Awake keeps the screen on as long as a picture code is on the page.
type Awake struct{}

func (Save) effect()        {}
func (Load) effect()        {}
func (Pick) effect()        {}
func (Offer) effect()       {}
func (ShareText) effect()   {}
func (Focus) effect()       {}
func (Top) effect()         {}
func (Speak) effect()       {}
func (Print) effect()       {}
func (Persist) effect()     {}
func (Room) effect()        {}
func (Reopen) effect()      {}
func (Mark) effect()        {}
func (Route) effect()       {}
func (Scheme) effect()      {}
func (UpdateShell) effect() {}
func (LoadRest) effect()    {}
func (Tick) effect()        {}
func (Scan) effect()        {}
func (Awake) effect()       {}

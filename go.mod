module keelcard

go 1.26.0

require (
	github.com/andybalholm/brotli v1.2.8
	github.com/hack-pad/go-indexeddb v0.3.2
	github.com/makiuchi-d/gozxing v0.1.1
	golang.org/x/tools v0.52.0
	gonum.org/v1/gonum v0.16.0
	honnef.co/go/js/dom/v2 v2.0.0-20250304181735-b5e52f05e89d
	modernc.org/sqlite v1.62.0
	pgregory.net/rapid v1.3.0
	rsc.io/qr v0.2.0
)

require (
	github.com/BurntSushi/toml v1.4.1-0.20240526193622-a339e1f7089c // indirect
	github.com/agnivade/wasmbrowsertest v0.11.0 // indirect
	github.com/chromedp/cdproto v0.0.0-20240801214329-3f85d328b335 // indirect
	github.com/chromedp/chromedp v0.10.0 // indirect
	github.com/chromedp/sysutil v1.0.0 // indirect
	github.com/dustin/go-humanize v1.1.0 // indirect
	github.com/go-interpreter/wagon v0.6.0 // indirect
	github.com/gobwas/httphead v0.1.0 // indirect
	github.com/gobwas/pool v0.2.1 // indirect
	github.com/gobwas/ws v1.4.0 // indirect
	github.com/google/pprof v0.0.0-20261016150608-1facf8f91b50 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/hack-pad/safejs v0.1.0 // indirect
	github.com/josharian/intern v1.0.0 // indirect
	github.com/mailru/easyjson v0.7.7 // indirect
	github.com/mattn/go-isatty v0.0.24 // indirect
	github.com/ncruces/go-strftime v1.1.0 // indirect
	github.com/remyoudompheng/bigfft v0.0.0-20230129092748-24d4a6f8daec // indirect
	golang.org/x/exp/typeparams v0.0.0-20231108232855-2478ac86f678 // indirect
	golang.org/x/mod v0.42.0 // indirect
	golang.org/x/sync v0.24.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	golang.org/x/text v0.23.0 // indirect
	golang.org/x/xerrors v0.0.0-20200804184101-5ec99f83aff1 // indirect
	honnef.co/go/tools v0.8.2 // indirect
	modernc.org/libc v1.80.1 // indirect
	modernc.org/mathutil v1.7.1 // indirect
	modernc.org/memory v1.12.1 // indirect
)

tool (
	github.com/agnivade/wasmbrowsertest
	honnef.co/go/tools/cmd/staticcheck
)

// No tables of alphabets: see there.
replace golang.org/x/text => ./web/reader/tables

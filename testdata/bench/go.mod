module asleft/testdata/bench

go 1.26.0

require (
	asleft v0.0.0
	github.com/spf13/cobra v1.10.2
)

require (
	github.com/BurntSushi/toml v1.6.0 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/spf13/pflag v1.0.9 // indirect
	golang.org/x/text v0.44.0 // indirect
)

replace asleft => ../..

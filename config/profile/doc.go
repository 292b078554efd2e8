// Package profile reads what a device can do: a controller, an interface module
// or a remote. A shop writes a profile from the papers that came with the
// device, so the format uses plain words and one file describes one device.
//
// # The file
//
//	schema = "asleft/profile/1"
//	id = "bench-one"
//	label = "Bench One, an invented controller"
//	kind = "controller"                    # or "module", "remote"
//	invented = true                        # every sheet made from it says so
//	nominal-volts = 12
//	keeps-without-power = ["options"]      # what survives a power cut
//
//	[papers]                               # where it was copied from, by whom
//	title = "Bench One sheet"
//	revision = "A"
//	copied-by = "T.V."
//	second-reader = "M.O."
//
//	[feed.second]                          # one role = fixed, several = selectable
//	amps = 30
//	roles = ["held", "dropped", "off"]
//
//	[input.hood]
//	signal = "hood"
//	active = ["ground", "open-circuit"]
//
//	[output.1]
//	use = "aux"
//	level = "ground"                       # ground sinks, battery gives
//	milliamperes = 250
//	behaviours = ["pulse", "latched"]
//	seconds = [0.5, 0.8]
//
//	[channel.8]
//	fires = ["1"]                          # or: does = "lock"
//
//	[option.unlock-steps]                  # the usual option: one setting
//	title = "what the first unlock opens"
//	how = "keyed"                          # or strap, dial, cable, learned
//	bank = 2
//	item = 5
//	setting = "unlock.steps"
//	values = ["all", "driver-first"]       # in the order of the device
//	factory = "all"
//
//	[option.lock-pulse]                    # an option that sets several at once
//	title = "length of both pulses"
//	how = "keyed"
//	bank = 2
//	item = 6
//	factory = "1"
//	[option.lock-pulse.value.1]
//	is = { "lock.seconds" = "0.8", "unlock.seconds" = "0.8" }
//	[option.lock-pulse.value.2]
//	is = { "lock.seconds" = "0.4", "unlock.seconds" = "0.4" }
//
//	[fixed]                                # what the device has no option for
//	"brake.active" = "battery"
//
//	[link.serial]
//	to-controller = ["engine-speed", "brake"]
//	to-vehicle = ["lock", "unlock"]
//
// A value may switch feedback off (silences) and move other options (moves).
// [exit-proof] writes out the logic by which a manual gearbox is proven to be
// out of gear, [keying] how options are keyed. A remote has [button.NAME] and
// [gesture.NAME] instead. The demo profiles beside this package are examples of
// everything.
//
// # What is checked
//
// Read refuses a profile that contradicts itself, all mistakes at once, each
// with its place: unknown settings and values, factory values that are not among
// the values, channels that fire outputs that are not there, two gestures that
// hands cannot tell apart, a value that needs an input, output or link which the
// device lacks, two options for one setting. It does not judge whether a device
// is fit for a vehicle: that is for the rules.
package profile

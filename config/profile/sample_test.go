package profile

// bench is a small controller that is right; each test spoils one thing in it.
const bench = `schema = "asleft/profile/1"
id = "bench-one"
label = "Bench One, an invented controller"
kind = "controller"
invented = true
nominal-volts = 12
keeps-without-power = ["options"]

[papers]
title = "Bench One sheet"
revision = "A"
copied-by = "T.V."
second-reader = "M.O."

[feed.main]
amps = 30
roles = ["held"]

[feed.second]
amps = 25
roles = ["starter", "held", "off"]

[input.hood]
signal = "hood"
active = ["ground", "open-circuit"]

[input.speed]
signal = "engine-speed"
active = ["pulses"]

[output.1]
use = "aux"
level = "ground"
milliamperes = 250
behaviours = ["pulse", "latched"]
seconds = [0.5, 0.8]
counts = [1, 2]

[output.2]
use = "state"
level = "ground"
milliamperes = 200
states = ["running", "none"]

[output.horn]
use = "horn"
level = "ground"
milliamperes = 200

[channel.1]
does = "lock"

[channel.8]
fires = ["1"]

[link.serial]
to-controller = ["brake", "engine-speed"]
to-vehicle = ["lock"]

[fixed]
"hood.source" = "wire"
"aux.1.count" = "2"

[option.second-feed]
title = "second feed"
how = "keyed"
bank = 1
item = 1
setting = "feed.second.role"
values = ["held", "off"]
factory = "off"

[option.sound]
title = "sounds"
how = "keyed"
bank = 1
item = 2
factory = "1"
[option.sound.value.1]
is = { "confirm.lock.sound" = "horn", "confirm.unlock.sound" = "none" }
[option.sound.value.2]
is = { "confirm.lock.sound" = "none", "confirm.unlock.sound" = "none" }
silences = ["horn"]
moves = { minutes = "10" }

[option.minutes]
title = "run time"
how = "dial"
setting = "run.minutes"
values = ["5", "10"]
factory = "10"

[keying]
levels = "side-by-side"
store = "press"
sizes = [4]
[keying.enter]
steps = ["key-run", "tap"]
[keying.option]
way = "forward"
input = "tap"
[keying.value]
way = "cycle"
input = "brake"
[keying.leave]
steps = ["key-off"]
`

// exit is an exit proof to be put behind the bench controller.
const exit = `
[exit-proof]
inputs = ["hood", "brake"]
power-up = "none"
vacated = "left"
running = ["run"]
within-seconds = 90
[exit-proof.shows]
left = "horn 2"
[exit-proof.step.begin]
from = ["none"]
on = ["key-out"]
to = "left"
while = ["engine-turning"]
[exit-proof.step.start]
from = ["left"]
on = ["remote-start"]
to = "run"
[exit-proof.step.end]
from = ["run"]
on = ["brake-pressed", "run-ended"]
to = "none"
stops-engine = true
`

// perch is a small remote that is right.
const perch = `schema = "asleft/profile/1"
id = "perch"
label = "Perch, an invented remote"
kind = "remote"
invented = true
cell = "CR2032"
teach = "Hold both."
[papers]
title = "Perch card"
revision = "1"
copied-by = "T.V."
[button.lock]
mark = "L"
row = 1
column = 1
[button.open]
mark = "U"
row = 2
column = 1
[gesture.lock-tap]
buttons = ["lock"]
presses = 1
ease = 1
channel = 1
taken-for = "lock"
[gesture.open-hold]
buttons = ["open"]
presses = 1
hold-seconds = 2
ease = 3
teachable = [8, 9]
`

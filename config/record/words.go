package record

import "strings"

// codeWords are 256 short words that are told apart by ear and by eye; each
// stands for one byte. The list is ours and frozen: a printed code must read
// the same for ever.
var codeWords = strings.Fields(`
acid acorn acre adapt aisle alarm album amber anchor angle anvil apple apron arch arena arrow
atlas attic axle badge bagel baker balm bamboo banjo barge barn basil basin beacon beam bench
birch bison blade blanket bloom board bolt bonnet border bottle bowl brass bread brick bridge brook
broom brush bucket buffer bugle burrow butter button cabin cable cactus camel candle canoe canvas carbon
cargo carpet castle cedar chain chalk cherry chimney cinder circle clamp clover cobalt cocoa comet copper
coral cork cotton cradle crane crater cricket crown cube daisy dancer desert dial diesel dome donkey
draft drill drum eagle easel echo elbow elm ember engine envelope fabric falcon fence fern ferry
fiddle finger flame flute fog forest fossil fox frost funnel garlic garnet gate gauge ginger glass
globe glove goat granite grape gravel guitar gull hammer harbor harp hazel hedge helmet heron hinge
honey hook horn hotel igloo index ink island ivory jacket jelly jigsaw jumper jungle kayak kernel
kettle kite ladder lagoon lantern lava lemon lever linen lizard lobster locket lunar magnet mango maple
marble meadow melon mercury mint mirror mitten monkey mortar motor muffin nectar needle nickel nozzle nugget
nutmeg oak oboe ocean olive onion opal orbit orchid otter oven oyster paddle panel parrot peach
pebble pencil pepper piano pigeon pillow planet plaster pocket pollen pond poplar prism puddle pulley pump
quarry quill rabbit radar raft ribbon ridge rivet robin rocket rubber saddle salmon sandal satin saucer
shovel silver siren sleeve spade spiral sponge spruce tiger timber toast trumpet tulip turtle velvet violet
`)

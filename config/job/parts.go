package job

import (
	"asleft/config/source"
)

// readDevice reads [device.NAME].
func readDevice(t *source.Table) Device {
	defer t.Close()
	d := Device{
		Name:     name(t),
		Profile:  nameIn(t, "profile", source.Required(`profile = "demo-alder"`)),
		Serial:   t.Text("serial"),
		Firmware: t.Text("firmware"),
		Link:     known(t, "link", linkForms),
		LinkTo:   nameIn(t, "link-to"),
		Wired:    t.Words("wired", joinedPaths),
		Straps:   map[string]string{},
	}
	straps := t.Sub("straps")
	defer straps.Close()
	for _, k := range straps.Keys() {
		d.Straps[k] = straps.Text(k)
	}
	if d.LinkTo != "" && d.LinkTo == d.Name {
		t.Fault("link-to", source.Problem{Message: "a device is joined to itself", Expected: "the name of the controller"})
	}
	return d
}

// readRemote reads [remote.NAME].
func readRemote(t *source.Table) Remote {
	defer t.Close()
	return Remote{
		Name:    name(t),
		Profile: nameIn(t, "profile", source.Required(`profile = "demo-wren"`)),
		For:     t.Text("for"),
		Without: t.Words("user-cannot", cannots),
	}
}

// readFeed reads [feed.NAME]. The name is the feed's, unless one feed is joined
// to several conductors: then each join has a name of its own and says which
// feed it is.
func readFeed(t *source.Table) FeedJoin {
	defer t.Close()
	f := FeedJoin{
		Name:    name(t),
		Feed:    nameIn(t, "feed"),
		Circuit: cavity(t, "conductor", source.Required(`conductor = "c1-03"`)),
		Side:    known(t, "side", feedSides),
		Method:  known(t, "method", methods),
		Fuse:    t.Number("fuse-amperes", 0, 120),
		Through: t.Word("through", throughs, source.Example(`through = "relay"`)),
	}
	if f.Feed == "" {
		f.Feed = f.Name
	}
	return f
}

// readOutput reads [output.NAME], named like a feed.
func readOutput(t *source.Table) OutputJoin {
	defer t.Close()
	o := OutputJoin{
		Name:     name(t),
		Output:   nameIn(t, "output"),
		Line:     cavity(t, "line", source.Required(`line = "c4-07"`)),
		Function: nameIn(t, "function"),
		Method:   known(t, "method", methods),
		Switches: t.Word("switches", switched, source.Example(`switches = "key-loop"`)),
	}
	if o.Switches != "" && o.Function != "" {
		t.Fault("switches", source.Problem{
			Message:  "an output works a function at the push of a button, or switches something by the state of the start",
			Expected: "one of `function` and `switches`",
			Found:    o.Switches,
		})
	}
	if o.Output == "" {
		o.Output = o.Name
	}
	return o
}

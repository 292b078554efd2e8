package assign

import (
	"slices"
	"strconv"

	"asleft/config/setting"
)

// demands turns the answer into settings. Where one option of the device sets several properties,
// all of them are named, since they come together.
func (plan *Plan) demands() {
	c := &plan.choice
	m := c.m
	for i, fi := range m.items {
		f := &m.p.Functions[fi]
		for k := range m.p.Outputs {
			if c.placing.Tools[i]>>k&1 == 1 {
				plan.outputDemands(f, &m.p.Outputs[k], &m.setup[i][k])
			}
		}
	}
	for _, r := range plan.Rows {
		why := "this gesture of " + r.Remote + " works " + r.Words
		if !r.Teach {
			why += "; it sends this channel by itself"
		}
		plan.demand(r.Remote, r.Function, setting.Instance("remote.R.gesture.G", r.Remote, r.Gesture), setting.Value(strconv.Itoa(r.Channel)), why)
	}
	slices.SortStableFunc(plan.Demands, func(a, b Demand) int { return setting.CompareKeys(a.Key, b.Key) })
}

func (plan *Plan) demand(device, function, name string, v setting.Value, why string) {
	plan.Demands = append(plan.Demands, Demand{
		Key: setting.Key{Device: device, Setting: name}, Value: v, Function: function, Why: why,
	})
}

func (plan *Plan) outputDemands(f *Function, o *Output, s *setup) {
	asked := map[string]string{}
	for _, p := range properties {
		if _, fixed := o.Fixed[p]; fixed && s.matters[p] != "" {
			asked[p] = s.matters[p]
		}
	}
	for _, option := range o.Options {
		first := ""
		for _, p := range properties {
			if _, here := option.Values[0][p]; here && first == "" && s.matters[p] != "" {
				first = p
			}
		}
		for _, p := range properties {
			if _, here := option.Values[0][p]; !here || first == "" {
				continue
			}
			asked[p] = s.matters[p]
			if asked[p] == "" {
				asked[p] = "it is one option of the device together with " + setting.Instance("aux.N."+first, o.Name)
			}
		}
	}
	for _, p := range properties {
		if asked[p] != "" && s.values[p] != "" {
			plan.demand(plan.problem.Controller, f.Name, setting.Instance("aux.N."+p, o.Name), s.values[p], asked[p])
		}
	}
}

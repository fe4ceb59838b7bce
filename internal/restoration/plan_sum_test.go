package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// All of a medium piece is planned with 570 minutes. A cut-through found at the cut costs
// 6 h; the second goes to steps that are rework by then. A run on fresh clear makes the
// cut, which was next anyway, dearer by half an hour.
func TestPlanSumAddsUpThroughSendBacks(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		reached string
		backs   []Payload
		stages  []string
		want    PlanSum
	}{
		"as planned":                  {"grained", nil, nil, PlanSum{First: 570}},
		"sent back once":              {"cut", []Payload{{Defect: "cut-through"}}, []string{"grained"}, PlanSum{First: 570, Rework: 360}},
		"again, before it was redone": {"cut", []Payload{{Defect: "cut-through"}, {Defect: DefectOther}}, []string{"grained", "grounded"}, PlanSum{First: 570, Rework: 390}},
		"the next stage made dearer":  {"cleared", []Payload{{Defect: "run"}}, []string{"cut"}, PlanSum{First: 570, Since: 30}},
	} {
		s, now := shopAt(t, c.reached)
		for i, back := range c.backs {
			require.Equal(t, Applied, s.do(KindSendBack, 1, c.stages[i], now, back).Result, name)
		}
		p := s.piece(1)
		got, roll := p.PlanSum(), s.roll(now)
		require.Equal(t, c.want, got, name)
		require.Equal(t, []Minutes{roll.Planned, roll.ReworkPlanned}, []Minutes{got.First, got.Rework}, "as the car's page: %s", name)
	}
}

// What is skipped, or stands again in a later pass, has no figure of its own.
func TestInPlan(t *testing.T) {
	t.Parallel()
	s, now := shopAt(t, "cleared")
	require.Equal(t, Applied, s.do(KindSendBack, 1, "cleared", now, Payload{Defect: DefectOther}).Result)
	for _, step := range s.piece(1).Steps {
		require.Equal(t, step.State != StepSuperseded || step.Stage == "cleared", s.piece(1).InPlan(step), "%s of pass %d", step.Stage, step.Pass)
	}
	p := s.piece(1)
	require.True(t, p.InPlan(Step{State: StepOpen}))
	require.False(t, p.InPlan(Step{State: StepSkipped}))
	require.True(t, p.InPlan(Step{State: StepSkipped, Rework: true}), "its hours stand in what rework was planned to take")
	p.Removed = now
	require.False(t, p.InPlan(Step{State: StepOpen}))
}

func TestPassWords(t *testing.T) {
	t.Parallel()
	for pass, want := range map[int]string{0: "", 1: "", 2: "after the 1st send-back", 3: "after the 2nd send-back", 4: "after the 3rd send-back",
		5: "after the 4th send-back", 12: "after the 11th send-back", 13: "after the 12th send-back", 14: "after the 13th send-back",
		22: "after the 21st send-back", 112: "after the 111th send-back", 113: "after the 112th send-back", 123: "after the 122nd send-back"} {
		require.Equal(t, want, PassWords(pass), "pass %d", pass)
	}
}

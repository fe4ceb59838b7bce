package restoration

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func plainRoute() Route {
	stage := func(key string, look Look) Stage {
		return Stage{Key: key, Name: key, Look: look, Need: NeedNothing,
			Small: Hours3(1, 2, 3), Medium: Hours3(1, 2, 3), Large: Hours3(1, 2, 3)}
	}
	return Route{Key: "plain", Version: 1, Name: "Plain",
		Stages: []Stage{stage("stripped", LookStripped), stage("repaired", LookRepaired), stage("primed", LookPrimed)}}
}

func TestCheckRoute(t *testing.T) {
	t.Parallel()
	require.Empty(t, CheckRoute(plainRoute()))
	require.Empty(t, CheckRoute(StockRoute()))
	long := strings.Repeat("ü", 60)
	for name, c := range map[string]struct {
		change func(*Route)
		fields []string // nil: all right
	}{
		"no name":               {func(r *Route) { r.Name = " " }, []string{"name"}},
		"a name of 60":          {func(r *Route) { r.Name = long }, nil},
		"a name of 61":          {func(r *Route) { r.Name = long + "ü" }, []string{"name"}},
		"no stage":              {func(r *Route) { r.Stages = nil }, []string{"stages"}},
		"one stage":             {func(r *Route) { r.Stages = r.Stages[:1] }, nil},
		"20 stages":             {func(r *Route) { r.Stages = manyStages(20) }, nil},
		"21 stages":             {func(r *Route) { r.Stages = manyStages(21) }, []string{"stages"}},
		"a stage of no name":    {func(r *Route) { r.Stages[1].Name = "" }, []string{"stages.1.name"}},
		"a stage name of 61":    {func(r *Route) { r.Stages[1].Name = long + "ü" }, []string{"stages.1.name"}},
		"no key":                {func(r *Route) { r.Stages[1].Key = "" }, []string{"stages.1.key"}},
		"a key in capitals":     {func(r *Route) { r.Stages[1].Key = "Primed" }, []string{"stages.1.key"}},
		"a key with a blank":    {func(r *Route) { r.Stages[1].Key = "two coats" }, []string{"stages.1.key"}},
		"a key twice":           {func(r *Route) { r.Stages[2].Key = "stripped" }, []string{"stages.2.key"}},
		"an unknown look":       {func(r *Route) { r.Stages[0].Look = "purple" }, []string{"stages.0.look"}},
		"an unknown need":       {func(r *Route) { r.Stages[0].Need = "luck" }, []string{"stages.0.need"}},
		"hours of nothing":      {func(r *Route) { r.Stages[0].Small = Estimate{} }, nil},
		"low above likely":      {func(r *Route) { r.Stages[0].Small = Estimate{2, 1, 3} }, []string{"stages.0.small"}},
		"likely above high":     {func(r *Route) { r.Stages[0].Medium = Estimate{1, 4, 3} }, []string{"stages.0.medium"}},
		"negative hours":        {func(r *Route) { r.Stages[0].Large = Estimate{-1, 1, 3} }, []string{"stages.0.large"}},
		"1,000 h":               {func(r *Route) { r.Stages[0].Large = Hours3(1, 2, 1000) }, nil},
		"1,001 h":               {func(r *Route) { r.Stages[0].Large = Hours3(1, 2, 1001) }, []string{"stages.0.large"}},
		"negative set-up":       {func(r *Route) { r.Stages[0].SetUp = -1 }, []string{"stages.0.set_up"}},
		"a set-up of 8 days":    {func(r *Route) { r.Stages[0].SetUp = 8 * 24 * 60 }, []string{"stages.0.set_up"}},
		"a negative wait":       {func(r *Route) { r.Stages[0].After.Sand = -1 }, []string{"stages.0.after.sand_min"}},
		"a wait of two years":   {func(r *Route) { r.Stages[0].After.Fit = 2 * 525_600 }, []string{"stages.0.after.fit_min"}},
		"a window":              {func(r *Route) { r.Stages[0].After = Waits{Recoat: 60, MaxRecoat: 61} }, nil},
		"a window that is shut": {func(r *Route) { r.Stages[0].After = Waits{Recoat: 60, MaxRecoat: 60} }, []string{"stages.0.after.max_recoat_min"}},
		"no end of the window":  {func(r *Route) { r.Stages[0].After = Waits{Recoat: 60} }, nil},
		"repairs":               {func(r *Route) { r.Stages[1].Repair = true }, nil},
		"repairs twice":         {func(r *Route) { r.Stages[0].Repair, r.Stages[1].Repair = true, true }, []string{"stages"}},
		"repairs last":          {func(r *Route) { r.Stages[2].Repair = true }, []string{"stages"}},
		"a purpose of 501":      {func(r *Route) { r.Stages[0].Purpose = strings.Repeat("x", 501) }, []string{"stages.0.purpose"}},
		"an empty caution":      {func(r *Route) { r.Stages[0].Cautions = []string{" "} }, []string{"stages.0.cautions"}},
		"21 cautions":           {func(r *Route) { r.Stages[0].Cautions = strings.Fields(strings.Repeat("x ", 21)) }, []string{"stages.0.cautions"}},
		"checks":                {func(r *Route) { r.Stages[0].Checks = []Check{{"a", "Dry?"}, {"b", "Clean?"}} }, nil},
		"a check twice":         {func(r *Route) { r.Stages[0].Checks = []Check{{"a", "Dry?"}, {"a", "Clean?"}} }, []string{"stages.0.checks"}},
		"a check of no text":    {func(r *Route) { r.Stages[0].Checks = []Check{{"a", ""}} }, []string{"stages.0.checks"}},
		"a check of no key":     {func(r *Route) { r.Stages[0].Checks = []Check{{"", "Dry?"}} }, []string{"stages.0.checks"}},
		"one check, two stages": {func(r *Route) {
			r.Stages[0].Checks, r.Stages[1].Checks = []Check{{"a", "Dry?"}}, []Check{{"a", "Dry?"}}
		}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := plainRoute()
			c.change(&r)
			require.Equal(t, c.fields, fieldsAt(t, CheckRoute(r)))
		})
	}
}

func manyStages(n int) []Stage {
	stages := make([]Stage, n)
	for i := range stages {
		stages[i] = Stage{Name: "Coat", Look: LookOther, Need: NeedRecoat}
	}
	return Route{Stages: stages}.WithKeys().Stages
}

func TestSlug(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"Stripped":                  "stripped",
		"  Guide coat, 2nd  ":       "guide-coat-2nd",
		"Grundierung für Möbel":     "grundierung-fur-mobel",
		"Cut & polished":            "cut-polished",
		"--":                        "",
		"地":                         "",
		strings.Repeat("ab ", 40):   strings.TrimRight(strings.Repeat("ab-", 20), "-"),
		"<script>alert(1)</script>": "script-alert-1-script",
	} {
		require.Equal(t, want, Slug(name), "%q", name)
	}
}

func TestWithKeysKeepsWhatIsThereAndMakesWhatIsMissing(t *testing.T) {
	t.Parallel()
	r := Route{Name: "  Two  coats ", Stages: []Stage{
		{Name: " Primed "},
		{Name: "Primer", Key: "primed", Checks: []Check{{Text: "Dry?"}, {Text: "Dry!"}, {Text: "Scuffed"}}},
		{Name: "地"},
	}}
	got := r.WithKeys()
	require.Equal(t, "Two coats", got.Name)
	require.Equal(t, "primed-2", got.Stages[0].Key)
	require.Equal(t, "Primed", got.Stages[0].Name)
	require.Equal(t, "primed", got.Stages[1].Key)
	require.Equal(t, "stage", got.Stages[2].Key)
	require.Equal(t, []Check{{"dry", "Dry?"}, {"dry-2", "Dry!"}, {"scuffed-2", "Scuffed"}}, got.Stages[1].Checks)
	require.Empty(t, r.Stages[0].Key, "the route that was given is left as it was")
	require.Equal(t, got, got.WithKeys(), "a second time changes nothing")
}

// TestKeysMadeFromNamesAlwaysPass states that whatever names and texts a shop types,
// the keys made from them are fit to be kept.
func TestKeysMadeFromNamesAlwaysPass(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfN(rapid.StringN(1, 70, -1), 1, MaxStages).Draw(t, "names")
		var r Route
		for _, n := range names {
			r.Stages = append(r.Stages, Stage{Name: n, Checks: []Check{{Text: n}, {Text: n}}})
		}
		keys := map[string]bool{}
		for _, s := range r.WithKeys().Stages {
			require.Regexp(t, keyForm, s.Key)
			require.False(t, keys[s.Key], "key %q twice", s.Key)
			keys[s.Key] = true
			require.Regexp(t, keyForm, s.Checks[0].Key)
			require.Regexp(t, keyForm, s.Checks[1].Key)
			require.NotEqual(t, s.Checks[0].Key, s.Checks[1].Key)
		}
	})
}

func TestTidyName(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		" Ida \t  Brandt\n": "Ida Brandt",
		"Ida\u00a0Brandt":   "Ida Brandt",
		"Ida\x00 B\x1b":     "Ida B",
		"":                  "",
		"שרה":               "שרה",
	} {
		require.Equal(t, want, TidyName(typed), "%q", typed)
		require.Equal(t, want, TidyName(TidyName(typed)))
	}
}

package pricing

// AreaRule is what is asked about an area.
type AreaRule struct {
	ID   Area   `yaml:",key"`
	Name string `yaml:"name"`
	Ask  string `yaml:"ask"`
	// AskTold is asked instead of whoever has told already that there is something, as of a
	// dog that rides along; empty where Ask does for both.
	AskTold string `yaml:"ask-told,optional"`
	// Grades are what a customer can see, from hardly anything to everything.
	Grades [4]string `yaml:"grades"`
	// OnlyIfTold areas cost nothing unless somebody mentions them.
	OnlyIfTold bool `yaml:"only-if-told,optional"`
	// Raises is the flag an answer raises.
	Raises map[int]string `yaml:"raises,optional"`
	// CountsAs is the grade to reckon with, where it is not the answer's number.
	CountsAs map[int]Grade         `yaml:"counts-as,optional"`
	Usual    map[string][4]float64 `yaml:"usual,optional"`
}

// Outcome is what follows from a flag.
type Outcome string

// What follows from a flag: the customer reads a note; somebody else has to do
// it; the car must be seen first; the job is refused.
const (
	Note   Outcome = "note"
	Refer  Outcome = "refer"
	See    Outcome = "see"
	Refuse Outcome = "refuse"
)

// Flag is a circumstance that changes a job.
type Flag struct {
	ID      string  `yaml:",key"`
	Outcome Outcome `yaml:"outcome"`
	Words   string  `yaml:"words,optional"`
	// Plain, if there is any, is what customers read in place of Words where a car has to be
	// seen first: the words with their cautions are the owner's.
	Plain   string     `yaml:"plain,optional"`
	Stops   []string   `yaml:"stops,optional"`
	Charge  Pence      `yaml:"charge,optional"`
	Minutes [3]float64 `yaml:"minutes,optional"`
	Times   float64    `yaml:"times,optional"`
	On      []string   `yaml:"on,optional"`
}

// Protection is a last stage applied, with the months it is expected to last.
type Protection struct {
	ID    string `yaml:",key"`
	Words string `yaml:"words"`
	// On is "paint", "wheels", "glass", "soft-top", "lamps", "trim" or "leather".
	On         string   `yaml:"on"`
	MonthsLow  float64  `yaml:"months-from"`
	MonthsHigh float64  `yaml:"months-to"`
	Care       []string `yaml:"care"`
}

// Wear is something that makes protection last longer or shorter.
type Wear struct {
	ID    string  `yaml:",key"`
	Words string  `yaml:"words"`
	Times float64 `yaml:"times"`
}

// Mix is one product of a task. Parts are parts of water to one of product,
// strong, usual and weak, 0 for neat; ML per unit of work, least and most;
// Seconds to leave it on, least and most.
type Mix struct {
	What    string     `yaml:"what"`
	Parts   [3]float64 `yaml:"parts"`
	ML      [2]float64 `yaml:"ml"`
	Seconds [2]int     `yaml:"seconds"`
	KeepWet bool       `yaml:"keep-wet,optional"`
	Note    string     `yaml:"note,optional"`
}

// Task is one piece of work as the rules file has it.
type Task struct {
	ID           string                `yaml:",key"`
	Words        string                `yaml:"words"`
	Always       bool                  `yaml:"always,optional"`
	Area         Area                  `yaml:"area,optional"`
	For          map[string][]Grade    `yaml:"for,optional"`
	Offer        []string              `yaml:"offer,optional"`
	Family       string                `yaml:"family,optional"`
	Level        int                   `yaml:"level,optional"`
	Per          string                `yaml:"per"`
	Skilled      bool                  `yaml:"skilled,optional"`
	OpenEnded    bool                  `yaml:"open-ended,optional"`
	Wet          bool                  `yaml:"wet,optional"`
	Power        bool                  `yaml:"power,optional"`
	UnderCover   bool                  `yaml:"under-cover,optional"`
	Minutes      map[string][3]float64 `yaml:"minutes"`
	OnlyAt       []Grade               `yaml:"only-at,optional"`
	Materials    Pence                 `yaml:"materials"`
	Value        [4]float64            `yaml:"value"`
	Needs        []string              `yaml:"needs,optional"`
	After        []string              `yaml:"after,optional"`
	WithoutWater string                `yaml:"without-water,optional"`
	Applies      string                `yaml:"applies,optional"`
	Dries        string                `yaml:"dries,optional"`
	// DryMinutes is how long the car has to stay where it is after the work.
	DryMinutes int      `yaml:"dry-minutes,optional"`
	Wont       string   `yaml:"wont,optional"`
	Cautions   []string `yaml:"cautions,optional"`
	Mixes      []Mix    `yaml:"mixes,optional"`
}

// state is one overall condition of a car.
type state struct {
	ID     string     `yaml:",key"`
	Share  float64    `yaml:"share"`
	Grades [4]float64 `yaml:"grades"`
}

// book is the rules file as it is written.
type book struct {
	// Rest is "shipped" if what the file does not say is taken from the shipped rules.
	Rest     string       `yaml:"rest,optional"`
	Business Business     `yaml:"business"`
	Money    Money        `yaml:"money"`
	Quotes   QuoteRules   `yaml:"quotes"`
	Diary    DiaryRules   `yaml:"diary"`
	Nudges   NudgeRules   `yaml:"nudges"`
	Service  ServiceRules `yaml:"service"`
	Deposit  DepositRules `yaml:"deposit,optional"`
	Terms    TermsRules   `yaml:"terms,optional"`
	Place    PlaceRules   `yaml:"place"`
	States   []state      `yaml:"states"`
	Answers  struct {
		Worth  float64            `yaml:"worth"`
		Chosen map[int][4]float64 `yaml:"chosen"`
	} `yaml:"answers"`
	Wants       map[string]string `yaml:"wants"`
	Areas       []AreaRule        `yaml:"areas"`
	Flags       []Flag            `yaml:"flags"`
	Protections []Protection      `yaml:"protections"`
	Wear        struct {
		Shortest float64 `yaml:"shortest"`
		Longest  float64 `yaml:"longest"`
		When     []Wear  `yaml:"when"`
	} `yaml:"wear"`
	Sheet     SheetRules        `yaml:"sheet,optional"`
	Aftercare []Care            `yaml:"aftercare"`
	Cautions  map[string]string `yaml:"cautions"`
	Tasks     []Task            `yaml:"tasks"`
}

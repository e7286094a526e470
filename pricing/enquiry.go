package pricing

// Grade is the state of one area: 1 light, 2 fair, 3 poor, 4 severe; 0 unknown.
type Grade int

// The grades. Customers never read these words, only what can be seen.
const (
	Unknown Grade = iota
	Light
	Fair
	Poor
	Severe
)

// Area is a part of the car, or something that may be found in it, which is
// graded on its own. The rules file says which there are and what is asked.
type Area string

// The areas every rules file has.
const (
	Paintwork  Area = "paintwork"
	Wheels     Area = "wheels"
	Headlights Area = "headlights"
	SoftTop    Area = "soft-top"
	Interior   Area = "interior"
	Glass      Area = "glass"
	Trim       Area = "trim"
	EngineBay  Area = "engine-bay"
)

// Things that are asked about beside an area; in a car without them the grade
// is light and the work nothing. Nothing is charged for one nobody mentioned.
const (
	Swirls  Area = "swirls"
	PetHair Area = "pet-hair"
	Stains  Area = "stains"
	Smell   Area = "smell"
	Mould   Area = "mould"
)

// Site is where the work happens.
type Site struct {
	// Own is the business's own unit: the customer comes.
	Own bool
	// Miles is the distance one way.
	Miles float64
	// Tap and Socket tell what the place offers.
	Tap, Socket bool
	// Surface is "driveway", "garage", "shared" or "street"; empty is unknown.
	Surface string
	// Drain is where water runs to: "soil", "foul", "surface" or "unknown";
	// empty is unknown.
	Drain string
}

// Enquiry is everything known about one car and what is wanted.
type Enquiry struct {
	Vehicle Vehicle
	// Wants are names of wants, areas or single tasks of the rules file.
	Wants []string
	// Without are tasks that no want is to bring in, save one that is wanted by its own
	// name. What another task cannot be done without is in all the same; one the rules
	// do not know says nothing.
	Without []string `json:",omitempty"`
	// Named are tasks, or areas, that the customer spoke of by name, as "a wash and the
	// dog hair out". They bring nothing in that is not wanted; where money is short they
	// count for more than the rest, see [QuoteRules.NamedCounts]. What the rules do not
	// know says nothing.
	Named []string `json:",omitempty"`
	// Graded are areas the owner has seen: certain.
	Graded map[Area]Grade
	// Said are the numbers of the descriptions the customer chose, 1 to 4; 0 or
	// absent is not asked, or not sure.
	Said map[Area]Grade
	// Earlier is how the owner found the areas of this car the last time it was here:
	// no evidence of how they are now, but of how the car is kept.
	Earlier map[Area]Grade `json:",omitempty"`
	// Flags are circumstances the rules file knows, such as "failed-lacquer".
	Flags []string
	Site  Site
	// Budget is a figure to stay under, 0 for none. [Rules.Quote] prices what is
	// wanted whatever it costs; [Rules.Fit] keeps to the budget.
	Budget Pence
	// Priorities are the areas that matter most to the customer, first first.
	Priorities []Area
}

// Quote is what the work is likely to take and cost, and why. Prices and lines
// are filled in also when NeedToSee says that no price should be named yet; they
// are then for the owner.
type Quote struct {
	// Minutes of hands-on work. Likely is the mean, which the lines add up to.
	Minutes struct{ P10, P50, P80, P90, Likely float64 }
	// Price: Low is the one time in ten below, High the one time in ten above,
	// rounded up. High is never below Likely, nor Likely below Low.
	Price struct{ Low, Likely, High Pence }
	// In is the work, in the order it is done. The prices add up to Likely.
	In []Line
	// Out is what could have been meant and is not in, dearest last.
	Out []Left
	// WontComeOut are the limits of the work in it.
	WontComeOut []string
	// Refer is what somebody else has to do.
	Refer []Referral
	// Because are the three things that move the price most, most first.
	Because []Driver
	// Notes are for the customer: what the place asks for, how long things dry.
	Notes []string
	// NeedToSee, if not empty, is why there is no fixed price.
	NeedToSee string
	// Refused, if not empty, is why the work cannot be done, or not there.
	Refused string
	// Rules is the version of the rules it was made with.
	Rules string
	// Grades are the probabilities of light to severe for each area that the
	// work depends on.
	Grades map[Area][4]float64
}

// TravelLine is the Task of the line for the way beyond the free miles.
const TravelLine = "travel"

// Line is one task of a quote. Minutes is the mean. Travel and charges have no
// minutes. AtMost, if not 0, is after how many minutes the work stops, done or not.
type Line struct {
	Task    string
	Words   string
	Minutes float64
	AtMost  float64
	Price   Pence
}

// Left is something not in the quote. Adds is what it would add to the likely
// price, with everything it needs, rounded; 0 where that cannot be said.
type Left struct {
	Task  string
	Words string
	Adds  Pence
	Why   string
	// Reckoned tells that Adds was worked out, also where it is 0: the smallest price may
	// have room for more.
	Reckoned bool
}

// Referral is something for another trade.
type Referral struct {
	Flag  string
	Words string
}

// Driver is one reason for the price: what it adds to that of a well-kept
// medium hatchback close by.
type Driver struct {
	Words  string
	Effect Pence
}

// Package pricing knows cars and money, and no chat, clock, file or network.
// Rules and an enquiry go in, a quote comes out, always the same for the same.
//
// [ParseRules] reads the rules file: tasks with their minutes, areas with what a
// customer can see of their state, rates, protection, working hours.
// [Rules.MatchVehicle] finds a car in what somebody wrote. [Rules.Quote] prices
// an [Enquiry].
//
// # How a price comes about
//
// The state of each area of the car is a [Grade] nobody is sure of until the car
// is seen. What the customer answered moves the probabilities of the grades;
// neglect is shared, so the areas hang together through a few overall states of
// the car. A task's minutes at a grade are a three-point estimate times its
// units. Minutes are added up exactly on a grid (package minutes). Money is
// minutes at the rate, or the skilled rate, and materials, and travel; at least
// the minimum charge; rounded as the rules say.
//
// [Rules.Fit] finds what a figure buys: the choice of tasks worth most that stays
// within it with the confidence asked for. Whether a choice does is reckoned as
// exactly as the price. [Rules.NextQuestions] tells what is worth asking next.
package pricing

export { DomainError, domainErrorCodes } from './domain-error.ts';
export type { DomainErrorCode, DomainErrorDetails, InputFault } from './domain-error.ts';
export * as rational from './rational.ts';
export type { Rational } from './rational.ts';
export { byCodeUnits, canonicalJson, sortedRecord } from './canonical.ts';
export type { JsonValue } from './canonical.ts';
export * from './dates/civil-date.ts';
export { currencyDigits } from './money/currencies.ts';
export { digitsOf, formatMinor, minorPerUnit, parseMinor } from './money/minor-units.ts';
export { drawOrder } from './allocation/draw.ts';
export { sha256 } from './allocation/sha256.ts';
export { allocateByWeight, exactShares, largestRemainder, wholesRecord } from './allocation/largest-remainder.ts';
export type { Shares, Wholes } from './allocation/largest-remainder.ts';
export { allocateWithCarry, settleCarried, snapCarried } from './allocation/carry.ts';
export type { CarriedAllocation } from './allocation/carry.ts';
export { estateDivision } from './allocation/estate.ts';
export { nestedShares } from './allocation/nested.ts';
export { accountKey, draftEntry, household } from './ledger/entry.ts';
export type { AccountRef, Book, EntryDraft, EntryKind, Facts, Posting } from './ledger/entry.ts';
export {
  adjustmentBooked,
  costSplitBooked,
  moneyOpening,
  paymentMade,
  receiptPaid,
  writtenOff,
} from './ledger/money-entries.ts';
export type { Charge } from './ledger/money-entries.ts';
export { fromMicroPortions, microPerPortion, snapToMicroPortions, toMicroPortions } from './ledger/micro-portions.ts';
export { boughtOut } from './ledger/bought-out.ts';
export type { BoughtOut, Leaving } from './ledger/bought-out.ts';
export {
  claimed,
  lost,
  movedByCorrection,
  portionsOpening,
  released,
  sharedOut,
  swapDone,
} from './ledger/portion-entries.ts';
export { checkSlots, mayHandOver, requireReleasable, requireTaker } from './collection/collecting.ts';
export type { AtTheDoor, Collecting, Slot } from './collection/collecting.ts';
export { becameBy, costPerEatenPortion } from './stock/became.ts';
export type { Became, EndedPortions } from './stock/became.ts';
export { portionPeriods } from './ledger/portion-periods.ts';
export type { PortionMove, PortionPeriod, PortionPeriods } from './ledger/portion-periods.ts';
export type { SharedOut, SwapPart } from './ledger/portion-entries.ts';
export {
  fromMicroTurns,
  microPerTurn,
  rotaPublished,
  turnCovered,
  turnReleased,
  turnsNotDone,
  turnsSwapped,
} from './ledger/turn-entries.ts';
export type { PublishedTurns } from './ledger/turn-entries.ts';
export { payersOfReversible } from './ledger/payment-reversal.ts';
export { lostFromCommon } from './ledger/common-loss.ts';
export { balancesOf, householdBalances, reversalOf } from './ledger/balances.ts';
export type { BookedEntry } from './ledger/balances.ts';
export { bestBefore } from './dates/best-before.ts';
export type { BestBeforeResult } from './dates/best-before.ts';
export { dateMark, daysKept } from './dates/date-mark.ts';
export type { DateMarkResult } from './dates/date-mark.ts';
export { convert, convertQuantity, needsDensity } from './quantity/convert.ts';
export type { ConvertResult } from './quantity/convert.ts';
export type { Density, DensitySource } from './quantity/density.ts';
export { inKitchenMeasures, sayInKitchen } from './quantity/kitchen-measures.ts';
export type { KitchenAmount } from './quantity/kitchen-measures.ts';
export { densityRows, densitySources, yieldRows, yieldSources } from './quantity/reference-tables.ts';
export { celsiusOf, fahrenheitOf } from './quantity/temperature.ts';
export { allUnits, baseUnit, findUnit, measuresNames } from './quantity/units.ts';
export type { Measures, Unit } from './quantity/units.ts';
export { explode } from './recipes/explode.ts';
export type { ExplodeResult, ItemNeed, RecipeMaking } from './recipes/explode.ts';
export { deepestNesting, recipeOrder } from './recipes/recipe-order.ts';
export { scale } from './recipes/scale.ts';
export type { ScaleResult, ScaledQuantity } from './recipes/scale.ts';
export { servingsToBuy } from './recipes/servings-to-buy.ts';
export type { ServingsToBuyResult } from './recipes/servings-to-buy.ts';
export { commandNames, commands, isCommandName } from './commands.ts';
export type { CommandName } from './commands.ts';
export { provedCommands } from './commands-proved.ts';
export type { FirstOf, Proved, ProvedName } from './commands-proved.ts';
export { threadCommands } from './thread-commands.ts';
export type { ThreadInput, ThreadName, ThreadResult } from './thread-commands.ts';
export { energyRows, energySource, referenceKilocalories } from './weights/energy-table.ts';
export { dinerWeight, energyWeight, headcountWeight, perHeadPolicy } from './weights/headcount-weight.ts';
export type { Diner, WeightPolicy } from './weights/headcount-weight.ts';
export { typedWeight } from './weights/typed-weight.ts';
export {
  allergenRows,
  allergenSources,
  groupsOf,
  isAllergen,
  isOtherAllergen,
  membersOf,
} from './allergens/allergen-table.ts';
export type { AllergenList, AllergenRow } from './allergens/allergen-table.ts';
export { dietOf, dietRows, ingredientTags } from './allergens/diets.ts';
export type { DietRow } from './allergens/diets.ts';
export { conflicts, isRestriction, standingOf } from './allergens/restriction.ts';
export type { Declared, Standing } from './allergens/restriction.ts';
export { restrictionSources } from './allergens/restriction-sources.ts';
export type { RestrictionSource } from './allergens/restriction-sources.ts';
export { allergensOf } from './allergens/allergens-of.ts';
export type { AllergenRecipe, DishAllergens } from './allergens/allergens-of.ts';
export { costSplit, splitCosts } from './cost-split/cost-split.ts';
export type { CostSplit, CostSplitOutput } from './cost-split/cost-split.ts';
export { verifyCostSplit } from './cost-split/verify-cost-split.ts';
export type { CostSplitViolation } from './cost-split/verify-cost-split.ts';
export { readCostSplit } from './cost-split/cost-split-input.ts';
export type { CostLine, CostSplitInput, Fees } from './cost-split/cost-split-input.ts';
export { checkNesting, checkVersion, familiarUnitName, lastingUnitName, ownDensity } from './recipes/recipe-version.ts';
export type { KnownParts, VersionDraft } from './recipes/recipe-version.ts';
export { countedIn, needsOfDishes, needsWithBatchMore, versionsInside } from './recipes/dish-needs.ts';
export type { DishBatches, KeptIngredient, KeptVersion, NeedsOfDishes } from './recipes/dish-needs.ts';
export { cheapestOffer } from './buying/cheapest-offer.ts';
export type { ChosenPacks, PackOffer } from './buying/cheapest-offer.ts';
export { endsAround, offersInForce } from './buying/offers-in-force.ts';
export type { DatedOffer } from './buying/offers-in-force.ts';
export { buyPlan, planPacks, writeBuyPlan } from './buy-plan/buy-plan.ts';
export type { BuyPlan, BuyPlanOutput } from './buy-plan/buy-plan.ts';
export { readBuyPlan } from './buy-plan/buy-plan-input.ts';
export type { BuyPlanInput, Need, Offer, Seller } from './buy-plan/buy-plan-input.ts';
export { buyPlanModel } from './buy-plan/buy-plan-model.ts';
export { buyPlanProved, planPacksProved } from './buy-plan/buy-plan-proved.ts';
export type { BuyPlanLimits } from './buy-plan/buy-plan-proved.ts';
export { buyProblem } from './buy-plan/buy-problem.ts';
export { verifyBuyPlan } from './buy-plan/verify-buy-plan.ts';
export type { BuyPlanViolation } from './buy-plan/verify-buy-plan.ts';
export { packUnitOf } from './buying/round-plan.ts';
export type { PlannedPurchase, PricedOffer } from './buying/round-plan.ts';
export { dueFees, nextBest, planOverSellers } from './buying/seller-plan.ts';
export type { LimitedOffer, NextBest, SellerPlan, SellerTerms } from './buying/seller-plan.ts';
export { checkAdjustment, refundOf } from './buying/corrections.ts';
export type { SplitLine } from './buying/corrections.ts';
export { sealedContainers } from './kitchen/sealed-containers.ts';
export type { ContainerGroup, NewContainer } from './kitchen/sealed-containers.ts';
export { correctionStages, nextStage, receiptStages, requireStage, roundStages, yieldStages } from './rounds/stages.ts';
export type { RoundStage } from './rounds/stages.ts';
export { checkRoundDates } from './rounds/dates.ts';
export type { RoundDates } from './rounds/dates.ts';
export { participantsOn, startOfRound } from './rounds/participants.ts';
export type { ParticipantRow } from './rounds/participants.ts';
export { dishLetter, lotCode } from './rounds/lot-code.ts';
export { costShares, mayEat } from './rounds/cost-shares.ts';
export type { DishMadeOf, WhoEats } from './rounds/cost-shares.ts';
export { dishCosts, wholeDishCosts } from './rounds/dish-costs.ts';
export type { DishCostInput } from './rounds/dish-costs.ts';
export { openPoints } from './rounds/open-points.ts';
export type { OpenPoint, OpenPointCode, RemedyKind, RoundState } from './rounds/open-points.ts';
export { requireSealed, requireUndoable } from './stock/container-end.ts';
export type { ContainerState } from './stock/container-end.ts';
export { labelSheetNames, labelSheets } from './kitchen/label-sheets.ts';
export type { LabelSheetName } from './kitchen/label-sheets.ts';
export { cooperativeMark, labelAddress, readLabelAddress } from './stock/label-address.ts';
export { stockTotal } from './stock/stock-total.ts';
export type { StockItem, StockTotal } from './stock/stock-total.ts';
export { checkIngredient } from './recipes/ingredient.ts';
export type { IngredientDraft } from './recipes/ingredient.ts';
export { assignContainers, countsFreezers, roundShareOutInput, unfitDishes } from './sharing/round-share-out.ts';
export { borneByHeadcount, commonBorne } from './sharing/common-part.ts';
export { keptClaims } from './sharing/kept-claims.ts';
export type { RoundShareOutInput, SharedContainer, SharingHousehold, SharingTerms } from './sharing/round-share-out.ts';
export { invalidInput } from './input.ts';
export { swapOpenUntil } from './swaps/open-until.ts';
export { overCredit, ringBalance, ringKey, ringProposals } from './swaps/ring-proposals.ts';
export type { RingProposal, RingStep } from './swaps/ring-proposals.ts';
export { answererOf, refusalError, stateAfter, stateNow, whyNotSwappable } from './swaps/swap-answer.ts';
export type { OpenSwap, SwapAnswer, SwapContainer, SwapRefusal, SwapState } from './swaps/swap-answer.ts';
export { exclusionsOf, mayKnowRestrictions } from './households/who-may-know.ts';
export { householdLeft, requireStaying } from './households/staying.ts';
export { comingWeeks, mondayOf } from './this-week/coming-weeks.ts';
export { taskKinds, tasksOf } from './this-week/tasks.ts';
export type { OpenRound, Task, TaskKind, WeekFacts } from './this-week/tasks.ts';
export { shareContainers, shareOut, writeShareOut } from './share-out/share-out.ts';
export type {
  ShareOut,
  ShareOutObjective,
  ShareOutOutput,
  ShareOutProof,
  StageStanding,
} from './share-out/share-out.ts';
export { shareOutProved } from './share-out/share-out-proved.ts';
export type { ProofLimits } from './share-out/share-out-proved.ts';
export { readShareOut } from './share-out/share-out-input.ts';
export type { ShareHousehold, ShareLot, ShareOutInput } from './share-out/share-out-input.ts';
export { explainShareOut } from './share-out/explain.ts';
export type { ShareOutExplanation } from './share-out/explain.ts';
export { verifyShareOutProof } from './share-out/share-out-proof.ts';
export type { ProofCheck, ProofViolation } from './share-out/share-out-proof.ts';
export { verifyShareOut } from './share-out/verify.ts';
export type { Violation } from './share-out/verify.ts';
export { clearBalances, fewestPayments } from './clearing/clear-balances.ts';
export type { ClearBalancesOutput, Clearing, PaymentDue } from './clearing/clear-balances.ts';
export { verifyClearBalances } from './clearing/verify-clear-balances.ts';
export type { ClearBalancesViolation } from './clearing/verify-clear-balances.ts';
export { readClearing } from './clearing/clearing-input.ts';
export type { ClearingInput } from './clearing/clearing-input.ts';
export { modelLimits } from './solver/model.ts';
export type { IntegerModel, Row, Stage, Terms, WholeVariable } from './solver/model.ts';
export { ModelBuilder } from './solver/model-builder.ts';
export { modelFaults } from './solver/model-faults.ts';
export { faultsOfValues, sumOfTerms } from './solver/check-values.ts';
export { SolverError, solverErrorCodes } from './solver/solver.ts';
export type {
  Cancellation,
  Solver,
  SolverErrorCode,
  SolverOptions,
  SolverProgress,
  SolverResult,
  StageResult,
} from './solver/solver.ts';
export { cooling } from './cooling/cooling.ts';
export type { CoolingResult, CoolingStage, CoolingVerdict } from './cooling/cooling.ts';
export { coolingLimits, coolingSource } from './cooling/cooling-rules.ts';
export type { CoolingRule } from './cooling/cooling-rules.ts';
export { nextActCodes } from './cooling/next-act.ts';
export type { NextActCode } from './cooling/next-act.ts';
export { freezingTime, plankFactors } from './freezing/freezing-time.ts';
export type { FreezingShape, FreezingTimeResult } from './freezing/freezing-time.ts';
export { freezerLoad, freezerRules, freezerWarnings } from './freezing/freezer-load.ts';
export type { FreezerLoadResult, FreezerWarning } from './freezing/freezer-load.ts';
export { formatInstant, tryParseInstant } from './dates/instant.ts';
export type { Instant } from './dates/instant.ts';
export { runSheet } from './run-sheet/run-sheet.ts';
export { dayModel } from './run-sheet/day-model.ts';
export { kitchenOf } from './run-sheet/kitchen.ts';
export { readRunSheet } from './run-sheet/run-sheet-input.ts';
export { runSheetProved } from './run-sheet/run-sheet-proved.ts';
export type { PlannedLead, PlannedStep, RunSheetResult } from './run-sheet/run-sheet.ts';
export { verifyRunSheet } from './run-sheet/verify-run-sheet.ts';
export type { RunSheetViolation } from './run-sheet/verify-run-sheet.ts';
export { dayNow } from './run-sheet/day-progress.ts';
export type { DayNow, PlanStep, StepNow } from './run-sheet/day-progress.ts';
export { daySteps, stepKeyOf } from './run-sheet/day-steps.ts';
export type { DayKitchen, DaySteps, KitchenLack, KitchenStep, Making } from './run-sheet/day-steps.ts';
export { thawingMinutes } from './run-sheet/thawing.ts';
export { checkCorrection, checkDoneAt, checkReading, judgedAt, logStart } from './cooling/new-reading.ts';
export type { NewReading } from './cooling/new-reading.ts';
export { chairmanBound, chairmanOrder } from './rota/chairman.ts';
export { explainRota } from './rota/explain-rota.ts';
export type { RotaExplanation } from './rota/explain-rota.ts';
export { judgeTurns, newlyBroken } from './rota/judge-turns.ts';
export type { JudgedTurns } from './rota/judge-turns.ts';
export { owedBefore } from './rota/owed-before.ts';
export type { CarriedTurns } from './rota/owed-before.ts';
export { weeksToFill } from './rota/weeks-to-fill.ts';
export type { WeeksAsked, WeekToFill } from './rota/weeks-to-fill.ts';
export type { Limit as RotaLimit } from './rota/limits.ts';
export { readRota } from './rota/rota-input.ts';
export type { RotaHousehold, RotaInput, RotaWeek, Turn as RotaTurn } from './rota/rota-input.ts';
export { rotaProved } from './rota/rota-proved.ts';
export { planRota, rota, writeRota } from './rota/rota.ts';
export type { Load as RotaLoad, Rota, RotaOutput } from './rota/rota.ts';
export { verifyRota } from './rota/verify-rota.ts';
export type { RotaViolation } from './rota/verify-rota.ts';
export { explainSwapMatch } from './swap-match/explain-swap-match.ts';
export type { SwapMatchExplanation, SwapStep, UnmetReason } from './swap-match/explain-swap-match.ts';
export { listedRingModel } from './swap-match/listed-rings.ts';
export { ringModel } from './swap-match/ring-model.ts';
export { readSwapMatch } from './swap-match/swap-input.ts';
export type { SwapMatchInput, SwapOffer, SwapWant } from './swap-match/swap-input.ts';
export { swapMatchProved } from './swap-match/swap-match-proved.ts';
export { swapProblem } from './swap-match/swap-problem.ts';
export { matchSwaps, swapMatch, writeSwapMatch } from './swap-match/swap-match.ts';
export type { SwapMatch, SwapMatchOutput, SwapMove } from './swap-match/swap-match.ts';
export { topTradingCycles } from './swap-match/top-trading-cycles.ts';
export { verifySwapMatch } from './swap-match/verify-swap-match.ts';
export type { SwapMatchViolation } from './swap-match/verify-swap-match.ts';
export { explainPlanRound } from './plan-round/explain-plan-round.ts';
export type { FewerDishes, NextUse, Obstacle, PlanRoundExplanation } from './plan-round/explain-plan-round.ts';
export { planProblem } from './plan-round/plan-problem.ts';
export { readPlanRound } from './plan-round/plan-round-input.ts';
export type { AtHand, PlanDish, PlanHousehold, PlanKitchen, PlanRoundInput } from './plan-round/plan-round-input.ts';
export { planRoundModel } from './plan-round/plan-round-model.ts';
export { planRoundProved } from './plan-round/plan-round-proved.ts';
export { planRound, planRoundOf, writePlanRound } from './plan-round/plan-round.ts';
export type { PlanRound, PlanRoundOutput } from './plan-round/plan-round.ts';
export { aimsOf } from './plan-round/plan-worth.ts';
export { verifyPlanRound } from './plan-round/verify-plan-round.ts';
export type { PlanRoundViolation } from './plan-round/verify-plan-round.ts';
export * from './recall/recall-report.ts';

import { readTable } from './state-table.ts';

/*
 * What may be done when. `yes`: it is done; a code: it is refused with it, and no row has changed; `-`: it does not arise. The coordinator asks,
 * so that nothing is refused for who asks: that is in who-may.
 */

export const ROUND = readTable(`
                      planning       buying         cooking        sharing          proposed         shared-out         settled
  getRound            yes            yes            yes            yes              yes              yes                yes
  getBuying           yes            yes            yes            yes              yes              yes                yes
  getKitchen          yes            yes            yes            yes              yes              yes                yes
  getShareOut         yes            yes            yes            yes              yes              yes                yes
  getCollection       yes            yes            yes            yes              yes              yes                yes
  getRunSheet         yes            yes            yes            yes              yes              yes                yes
  saveDishes          yes            round-stage    round-stage    round-stage      round-stage      round-stage        round-stage
  proposeDishes       yes            round-stage    round-stage    round-stage      round-stage      round-stage        round-stage
  changeParticipant   yes            yes            yes            yes              yes              round-stage        round-stage
  saveCookDay         yes            yes            yes            round-stage      round-stage      round-stage        round-stage
  workOutRunSheet     yes            yes            yes            round-stage      round-stage      round-stage        round-stage
  enterStepDone       round-stage    round-stage    yes            yes              yes              yes                round-stage
  tickPurchase        -              yes            yes            yes              yes              yes                round-stage
  createReceipt       round-stage    yes            yes            yes              yes              yes                round-stage
  correctReceiptLine  round-stage    yes            yes            yes              yes              yes                yes
  enterYield          -              -              yes            yes              yes              already-confirmed  already-confirmed
  enterReading        -              -              yes            yes              yes              yes                round-stage
  printLabels         none-left      none-left      yes            yes              yes              yes                yes
  previewShareOut     round-stage    round-stage    yes            yes              yes              already-confirmed  round-stage
  searchShareOut      round-stage    round-stage    round-stage    -                yes              already-confirmed  round-stage
  proposeShareOut     round-stage    round-stage    round-stage    yes              yes              already-confirmed  round-stage
  getShareOutProof    -              -              -              -                yes              yes                yes
  correctShareOut     -              -              -              -                round-not-ready  yes                round-stage
  claimAll            claims-closed  claims-closed  claims-closed  claims-closed    claims-closed    yes                yes
  claimOfDish         claims-closed  claims-closed  claims-closed  claims-closed    claims-closed    yes                yes
  setClaimWindow      yes            yes            yes            yes              yes              yes                yes
  changeCollection    claims-closed  claims-closed  claims-closed  claims-closed    claims-closed    not-found          yes
  chooseCollection    claims-closed  claims-closed  claims-closed  claims-closed    claims-closed    not-found          yes
  releaseUncollected  claims-closed  claims-closed  claims-closed  claims-closed    claims-closed    not-found          conflict
  setCollection       claims-closed  claims-closed  claims-closed  claims-closed    claims-closed    yes                conflict
  moveRound:buying    yes            round-stage    round-stage    round-stage      round-stage      round-stage        round-stage
  moveRound:cooking   round-stage    yes            round-stage    round-stage      round-stage      round-stage        round-stage
  moveRound:sharing   round-stage    round-stage    yes            round-stage      round-stage      round-stage        round-stage
  moveRound:settled   round-stage    round-stage    round-stage    round-not-ready  round-not-ready  yes                round-stage
  confirmShareOut     -              -              -              -                yes              already-confirmed  already-confirmed
`);

export const CONTAINER = readTable(`
                     unshared       pool           set-aside  claimed          collected        offered    eaten               recalled
  claimContainer     claims-closed  yes            yes        container-taken  container-taken  yes        container-not-free  container-not-free
  releaseContainer   conflict       conflict       yes        yes              yes              yes        container-not-free  container-not-free
  endContainer       yes            yes            yes        yes              yes              yes        container-not-free  container-not-free
  restoreContainer   conflict       conflict       conflict   conflict         conflict         conflict   yes                 conflict
  moveContainer      yes            yes            yes        yes              yes              yes        container-not-free  container-not-free
  handOverContainer  conflict       conflict       yes        yes              conflict         yes        container-not-free  container-not-free
  undoHandOver       conflict       conflict       conflict   conflict         yes              conflict   conflict            conflict
  offerContainers    not-swappable  not-swappable  yes        yes              yes              yes        not-swappable       not-swappable
  proposeSwap        not-swappable  not-swappable  yes        yes              yes              yes        not-swappable       not-swappable
  reportSuspicion    yes            yes            yes        yes              yes              yes        yes                 yes
  correctShareOut    -              conflict       yes        yes              yes              yes        container-not-free  container-not-free
`);

/** Claims of what is free and of what was set aside, by the cooperative's policy and where now is in the round's window. */
export const CLAIMS = readTable(`
                        after  after:too-early  after:open  after:too-late  none       before:too-early  before:open  before:too-late
  claimContainer:free   yes    claims-not-yet   yes         claims-over     no-claims  claims-not-yet    yes          claims-over
  claimOfDish           yes    claims-not-yet   yes         claims-over     no-claims  claims-not-yet    yes          claims-over
  joinWaiting           yes    yes              yes         yes             no-claims  yes               yes          yes
  claimContainer:own    yes    yes              yes         yes             yes        -                 -            -
  claimAll              yes    yes              yes         yes             yes        claims-closed     claims-closed  claims-closed
  releaseContainer:own  yes    yes              yes         yes             yes        -                 -            -
`);

export const SWAP = readTable(`
                        open  done         declined     withdrawn    lapsed       gone
  answerSwap:accept     yes   swap-closed  swap-closed  swap-closed  swap-closed  not-swappable
  answerSwap:decline    yes   swap-closed  swap-closed  swap-closed  swap-closed  yes
  answerSwap:withdraw   yes   swap-closed  swap-closed  swap-closed  swap-closed  yes
  proposeSwap:counter   yes   swap-closed  swap-closed  swap-closed  swap-closed  yes
`);
export const RING = readTable(`
                        waiting  declined     done         lapsed       gone
  answerRing:accept     yes      swap-closed  swap-closed  swap-closed  swap-closed
  answerRing:decline    yes      swap-closed  swap-closed  swap-closed  swap-closed
`);

export const TURN = readTable(`
                         taken  nobodys     over
  releaseTurn            yes    turn-moved  turn-moved
  coverTurn              yes    yes         turn-moved
  proposeTurnSwap:gives  yes    turn-moved  turn-moved
  proposeTurnSwap:gets   yes    turn-moved  turn-moved
`);
export const TURN_SWAP = readTable(`
                           open  done         declined     withdrawn    lapsed       gone
  answerTurnSwap:accept    yes   swap-closed  swap-closed  swap-closed  swap-closed  turn-moved
  answerTurnSwap:decline   yes   swap-closed  swap-closed  swap-closed  swap-closed  yes
  answerTurnSwap:withdraw  yes   swap-closed  swap-closed  swap-closed  swap-closed  yes
`);
export const DRAFT = readTable(`
                    draft  published          set-aside
  saveRotaTurns     yes    already-confirmed  already-confirmed
  acceptRotaLimits  yes    already-confirmed  already-confirmed
  publishRota       yes    already-confirmed  already-confirmed
  setRotaAside      yes    already-confirmed  already-confirmed
`);

export const RECALL = readTable(`
                open  closed
  getRecall     yes   yes
  answerRecall  yes   conflict
  remindRecall  yes   conflict
  closeRecall   yes   conflict
`);

/** It keeps what was set aside for it, answers for it and settles its money; it takes part in nothing new, and its portions stay bought out (ADR 62). */
export const HOUSEHOLD = readTable(`
                              left
  getHousehold                yes
  getFreezer                  yes
  getStatement                yes
  getLeaving                  yes
  settleLeaving               already-confirmed
  recordPayment               yes
  claimContainer:own          yes
  claimAll                    yes
  moveContainer:own           yes
  handOverContainer:own       yes
  endContainer:own            yes
  reportSuspicion:own         yes
  answerRecall                yes
  chooseCollection            yes
  releaseTurn                 yes
  chooseCollection:delegate   invalid-input
  releaseUncollected          household-left
  claimContainer:free         household-left
  claimOfDish                 household-left
  joinWaiting                 household-left
  releaseContainer:own        household-left
  endContainer:against        household-left
  correctShareOut:broken      household-left
  correctShareOut:to          household-left
  offerContainers:own         household-left
  addWish                     household-left
  proposeSwap:from            household-left
  proposeSwap:to              household-left
  changeParticipant           household-left
  createRound                 household-left
  saveCookDay:kitchen         household-left
  saveCookDay:cook            household-left
  coverTurn                   household-left
  proposeTurnSwap:to          household-left
  proposeTurnSwap:from        household-left
  invite                      household-left
`);

/** Operations that are the same whatever has become of what they are about, or about nothing that has states. */
export const ALWAYS =
  `getCooperative changeCooperative getAccounts getPortionRounds streamEvents listHouseholds createHousehold changeHousehold
  getHouseholdCooking saveHouseholdCooking addDiner changeDiner removeDiner getHouseholdKitchen saveHouseholdKitchen listIngredients createIngredient
  changeIngredient getLatestJob getJob saveLot getBatchLots tellBatchLots getNotices seeNotices seeNotice listOffers createOffer getRecallSources traceRecall
  listRecalls startRecall listRecipes createRecipe getRecipe scaleRecipe saveRecipeVersion getRota proposeRota listRounds listSellers createSeller
  changeSeller findRings getSwaps getThisWeek getTurnSwaps getRotaTurn`.split(/\s+/);
/** What ends once. */
export const ONCE = readTable(`
                 live  over
  takeBackOffer  yes   not-found
  removeWish     yes   not-found
  leaveWaiting   yes   conflict
  reverseEntry   yes   already-confirmed
`);
/** To stop what has ended is no fault: it stays as it ended. */
export const JOB = readTable(`
           queued  running  done  failed  stopped
  getJob   yes     yes      yes   yes     yes
  stopJob  yes     yes      yes   yes     yes
`);

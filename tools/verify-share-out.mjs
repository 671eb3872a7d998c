// `frostmoot verify-share-out`: the check of a share-out's proof file, told in sentences.

/** @typedef {typeof import('@frostmoot/calc')} Calc */
/** @typedef {import('@frostmoot/calc').ProofCheck} ProofCheck */
/** @typedef {import('@frostmoot/calc').ProofViolation} ProofViolation */

export const verifyHelp = `frostmoot verify-share-out < proof.json

Checks whether a share-out is what its proof file says. The file is the answer of
GET /api/cooperatives/{cooperativeId}/share-outs/{shareOutId}/proof: what went in,
what came out, and which very containers were assigned. The check divides nothing
and knows no solver; it looks at the file and at nothing else.

Exit status: 0 the file holds, 1 it does not (what is wrong stands on standard output),
2 it could not be read (a problem document stands on standard error).
`;

/** @type {Record<ProofViolation['code'], string>} */
const faults = {
  'unknown-household': 'Containers are given to a household that takes no part.',
  'unknown-lot': 'Containers are of a lot that is not there.',
  'not-a-count': 'A number of containers is not a whole number from nil on.',
  'lot-does-not-add-up': 'The containers of a lot do not add up to how many there are.',
  'excluded-food': 'A household gets a dish that it must not eat.',
  'held-moved': 'A container that was claimed before has been taken away.',
  'freezer-too-full': 'A freezer is fuller than it can be.',
  'left-unallotted': 'A container is left over although somebody may take it.',
  'entitlement-wrong': 'What is due by weight is not the fair division of what may be eaten.',
  'short-wrong': 'What somebody is said to be short of is wrong.',
  'target-wrong': 'A target is not what is due plus what was owed.',
  'received-wrong': 'The portions received are not those of the containers given.',
  'owed-wrong': 'What is owed afterwards is not the target less what was received.',
  'too-far-from-target': 'A household is a whole largest container or more away from a target that can be met.',
  'objective-wrong': 'The figures that say how good the division is are not those of this division.',
  'not-shown': 'A part is said to be shown to be the best, but it is not shown.',
  'assigned-count': 'The number of very containers assigned is not the number given.',
  'assigned-twice': 'A very container is assigned twice.',
  'assigned-to-unknown': 'Very containers are assigned to a household that gets none.',
  'proof-differs': 'The file names another standing of the proof than the result does.',
};

/** @type {Record<string, string>} */
const parts = {
  unallotted: 'containers left over',
  squaredDeviation: 'nearness to the targets',
  refused: 'dishes that somebody would rather not have',
  outsideFairShare: 'the spread of the dishes',
  score: 'the scores',
};

/** @type {Record<string, string>} */
const standings = {
  shown: 'shown to be the best possible, and seen again here without a search',
  searched: 'said to have been searched to the end; this check does not repeat a search',
  open: 'not proved, only good',
};

/** @param {ProofViolation} violation */
function faultSentence({ code, household, lot, stage, container }) {
  const where = Object.entries({ household, lot, container, part: stage }).filter(([, name]) => name !== undefined);
  return `- ${faults[code]}${where.length > 0 ? ` (${where.map(([kind, name]) => `${kind} ${JSON.stringify(name)}`).join(', ')})` : ''}`;
}

/** @param {number} n @param {string} one */
const many = (n, one) => `${n} ${one}${n === 1 ? '' : 's'}`;

/**
 * What was checked of a file and what it does not say.
 * @param {ProofCheck} check @param {string} largest
 */
function scope({ households, lots, containers, stages, assigned }, largest) {
  const withStages = stages.length > 0;
  return [
    '',
    'Checked from the input and the result alone, without a solver and without dividing anew:',
    `- Each of the ${many(containers, 'container')} in ${many(lots, 'lot')} is with one of ${many(households, 'household')} or left over, once.`,
    '- Nobody gets what it must not eat, what was claimed stays, freezers hold, and nothing is left that somebody may take.',
    '- What is due is the fair division by weight of what each may eat; targets, portions received and owed are their sums.',
    `- Wherever the targets can be met at all, everybody is nearer to its own than one largest container (${largest} portions); freezers come before that.`,
    '- The figures that say how good the division is are those of this division.',
    assigned === undefined
      ? '- The file names no very containers.'
      : `- The ${many(assigned, 'very container')} assigned are as many as each household gets, none of them twice.`,
    ...(withStages ? ['', 'How far nothing better exists, in the order in which it counts:'] : []),
    ...stages.map(({ stage, proof }) => `- ${parts[stage]}: ${standings[proof]}.`),
    '',
    'Not claimed:',
    '- That the input is true: how many containers there were, who eats what, the weights and what was owed are taken as they stand.',
    ...(stages.some(({ proof }) => proof === 'searched')
      ? ['- That nothing is better where a search says so: that can only be seen by searching again.']
      : []),
    ...(withStages ? [] : ['- That nothing better exists: the file does not say.']),
    ...(assigned === undefined ? [] : ['- Which lot each very container is of: the file does not say.']),
    '- That no household would rather have what another has: envy is measured, not promised.',
  ];
}

/**
 * Checks a parsed proof file. Throws a DomainError when it is none.
 * @param {Calc} calc @param {unknown} file
 * @returns {{ holds: boolean, text: string }}
 */
export function checkProofFile({ verifyShareOutProof, rational }, file) {
  const check = verifyShareOutProof(file);
  const { violations } = check;
  const lines =
    violations.length === 0
      ? ['The share-out is what its proof says.', ...scope(check, rational.format(check.largestContainer))]
      : [
          `The share-out is not what its proof says: ${many(violations.length, 'thing')} wrong.`,
          ...[...new Set(violations.map(faultSentence))].slice(0, 50),
          ...(violations.length > 50 ? [`- and more, ${violations.length} in all.`] : []),
        ];
  return { holds: violations.length === 0, text: `${lines.join('\n')}\n` };
}

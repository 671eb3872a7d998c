import js from '@eslint/js';
import reactHooks from 'eslint-plugin-react-hooks';
import { builtinRules } from 'eslint/use-at-your-own-risk';
import tseslint from 'typescript-eslint';
import { exactNumbers } from './tools/eslint-exact-numbers.mjs';

const SPECS = ['**/*.spec.ts', '**/*.spec.tsx', '**/*.e2e.ts', 'tests/**/*.ts'];

// Time, chance, floats and the world outside have no place in a computation: they come in as arguments.
const NOT_IN_CALC = [
  ...['Date', 'Intl', 'performance', 'crypto', 'Temporal'].map((name) => [
    name,
    'pass it in, or reckon with bigint and Rational',
  ]),
  ...['process', 'globalThis', 'global', 'Buffer', 'console', 'fetch'].map((name) => [
    name,
    'a computation does no input or output',
  ]),
  ...['setTimeout', 'setInterval', 'setImmediate', 'queueMicrotask'].map((name) => [
    name,
    'a computation does not wait',
  ]),
  ...['parseFloat', 'parseInt'].map((name) => [name, 'read numbers with rational()']),
].map(([name, why]) => ({ name, message: `Not in calc: ${why}.` }));

const NOT_EXACT_SYNTAX = [
  {
    selector: 'UnaryExpression[operator="+"]',
    message: 'Unary plus reads text as a float; read numbers with rational().',
  },
  {
    selector: 'CallExpression[callee.property.name="toFixed"]',
    message: 'toFixed rounds a float; use the decimal form of Rational.',
  },
  {
    selector: 'CallExpression[callee.property.name="toLocaleString"]',
    message: 'The result of a computation does not depend on a locale.',
  },
  {
    selector: 'CallExpression[callee.property.name="localeCompare"]',
    message: 'localeCompare depends on the machine; compare code units.',
  },
];

const INEXACT_MATH = [
  'random',
  'sqrt',
  'cbrt',
  'pow',
  'exp',
  'log',
  'log2',
  'log10',
  'sin',
  'cos',
  'tan',
  'hypot',
  'round',
  'fround',
  'PI',
  'E',
];

export default tseslint.config(
  {
    ignores: [
      '**/dist/',
      '**/dist-types/',
      '**/coverage/',
      '.data/',
      'apps/api/src/generated/',
      'apps/web/src/lib/api/schema.d.ts',
      'tests/browser/screenshots/',
    ],
  },
  js.configs.recommended,
  {
    // The length of a file has two marks: a look is due at 300 lines, and 400 is too long. ESLint knows one level per rule, so the rule has two names.
    plugins: { frostmoot: { rules: { 'max-lines': builtinRules.get('max-lines'), 'exact-numbers': exactNumbers } } },
    rules: {
      'max-lines': ['warn', { max: 300, skipBlankLines: true, skipComments: true }],
      'frostmoot/max-lines': ['error', { max: 400, skipBlankLines: true, skipComments: true }],
      'no-console': 'off',
      eqeqeq: ['error', 'always', { null: 'ignore' }],
    },
    linterOptions: { reportUnusedDisableDirectives: 'error' },
  },
  {
    files: ['**/*.ts', '**/*.tsx'],
    extends: [tseslint.configs.recommendedTypeChecked],
    languageOptions: {
      parserOptions: {
        project: ['packages/*/tsconfig.json', 'apps/*/tsconfig*.json', 'tests/tsconfig.json', 'tests/*/tsconfig.json'],
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', ignoreRestSiblings: true }],
      '@typescript-eslint/consistent-type-imports': ['error', { fixStyle: 'inline-type-imports' }],
      // A function that fulfils an asynchronous port need not wait for anything itself.
      '@typescript-eslint/require-await': 'off',
      // Values of unknown shape are turned into words for a log or a form on purpose.
      '@typescript-eslint/no-base-to-string': 'off',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/no-misused-promises': ['error', { checksVoidReturn: { attributes: false } }],
    },
  },
  {
    // Configuration outside the compiled folders: no types to ask.
    files: ['*.config.ts', 'apps/web/*.config.ts', 'apps/web/build/**/*.ts'],
    extends: [tseslint.configs.disableTypeChecked],
    languageOptions: { parserOptions: { project: false } },
    rules: {
      '@typescript-eslint/switch-exhaustiveness-check': 'off',
      '@typescript-eslint/consistent-type-imports': 'off',
    },
  },
  {
    files: ['apps/web/public/**/*.js'],
    languageOptions: {
      sourceType: 'script',
      globals: { document: 'readonly', localStorage: 'readonly', matchMedia: 'readonly' },
    },
    rules: { 'no-unused-vars': ['error', { caughtErrors: 'none' }] },
  },
  {
    files: ['**/*.mjs'],
    languageOptions: { globals: nodeGlobals() },
  },
  {
    files: ['packages/calc/src/**/*.ts'],
    ignores: SPECS,
    rules: {
      'no-restricted-globals': ['error', ...NOT_IN_CALC],
      'no-restricted-properties': [
        'error',
        ...INEXACT_MATH.map((property) => ({
          object: 'Math',
          property,
          message: 'Chance and floats are not in calc.',
        })),
        ...['parseFloat', 'parseInt', 'EPSILON'].map((property) => ({
          object: 'Number',
          property,
          message: 'Read numbers with rational().',
        })),
      ],
      'no-restricted-syntax': [
        'error',
        {
          selector: 'FunctionDeclaration[async=true], ArrowFunctionExpression[async=true]',
          message:
            'A computation is not asynchronous; only what asks the Solver port is, in a file that ends in -proved.ts.',
        },
        ...NOT_EXACT_SYNTAX,
      ],
      'frostmoot/exact-numbers': 'error',
    },
  },
  {
    // What asks the Solver port waits for it; such files end in -proved.ts and hold that call and little else.
    files: ['packages/calc/src/**/*-proved.ts'],
    rules: { 'no-restricted-syntax': ['error', ...NOT_EXACT_SYNTAX] },
  },
  {
    // A day, a month and a year are read from the digits of a date that the pattern has already checked: whole numbers, never an amount.
    files: ['packages/calc/src/dates/civil-date.ts'],
    rules: { 'frostmoot/exact-numbers': 'off' },
  },
  {
    // Published tables, written by a tool.
    files: ['packages/calc/src/quantity/reference-tables.ts'],
    rules: { 'max-lines': 'off', 'frostmoot/max-lines': 'off' },
  },
  {
    files: ['apps/web/src/**/*.{ts,tsx}'],
    plugins: { 'react-hooks': reactHooks },
    rules: {
      'react-hooks/rules-of-hooks': 'error',
      'react-hooks/exhaustive-deps': 'error',
      // The router's redirects are thrown, and are no errors.
      '@typescript-eslint/only-throw-error': 'off',
    },
  },
  {
    files: SPECS,
    rules: {
      // Answers of the API and rows of the database come in untyped and are checked by the expectation itself.
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      // A test that is put aside is a test that is missing.
      'no-restricted-syntax': [
        'error',
        {
          selector: 'MemberExpression[object.name=/^(it|test|describe)$/][property.name=/^(skip|only|todo|failing)$/]',
          message: 'Every test runs.',
        },
        {
          selector: 'CallExpression[callee.name=/^(xit|xtest|xdescribe|fit|fdescribe)$/]',
          message: 'Every test runs.',
        },
      ],
    },
  },
);

/** The names that Node gives to every module, as far as the tools use them. */
function nodeGlobals() {
  const names = [
    'AbortController',
    'AbortSignal',
    'Buffer',
    'URL',
    'TextDecoder',
    'TextEncoder',
    'WebAssembly',
    'clearInterval',
    'clearTimeout',
    'console',
    'fetch',
    'performance',
  ];
  return Object.fromEntries([...names, 'process', 'setInterval', 'setTimeout'].map((name) => [name, 'readonly']));
}

// Who may import whom. Each rule is named after what it keeps apart; its comment says why.

const CAPABILITY = '(?!platform/|generated/)[^/]+';

/** @type {import('dependency-cruiser').IConfiguration} */
export default {
  forbidden: [
    {
      name: 'calc-imports-only-itself',
      comment: 'The computations are pure: no I/O, clock, randomness or library can change a result.',
      severity: 'error',
      from: { path: '^packages/calc/src/', pathNot: String.raw`\.spec\.ts$` },
      to: { pathNot: '^packages/calc/src/' },
    },
    {
      name: 'contract-imports-zod-and-calc',
      comment: 'The contract is read by the API and by the browser, so it stays small: schemas and the types of calc.',
      severity: 'error',
      from: { path: '^packages/contract/src/', pathNot: String.raw`\.spec\.ts$` },
      to: { pathNot: ['^packages/contract/src/', '^packages/calc/', '^node_modules/zod/'] },
    },
    {
      name: 'solver-imports-calc',
      comment: 'The solver fulfils a port of calc; it knows nothing of HTTP, of rows or of screens.',
      severity: 'error',
      from: { path: '^packages/solver/src/', pathNot: String.raw`\.spec\.ts$` },
      to: {
        pathNot: ['^packages/(solver/src|calc)/', '^node_modules/(highs|piscina)/', '^node:'],
        dependencyTypesNot: ['core'],
      },
    },
    {
      name: 'web-never-solver',
      comment: 'The browser previews with the methods that need no solver; the proof is made by the API.',
      severity: 'error',
      from: { path: '^(apps/web|packages/(calc|contract))/' },
      to: { path: '^packages/solver/' },
    },
    {
      name: 'web-never-api',
      comment: 'The browser knows the API by its contract alone.',
      severity: 'error',
      from: { path: '^apps/web/' },
      to: { path: '^apps/api/' },
    },
    {
      name: 'api-never-web',
      comment: 'The API serves the built files of the web app and knows nothing else of it.',
      severity: 'error',
      from: { path: '^apps/api/' },
      to: { path: '^apps/web/' },
    },
    {
      name: 'product-never-tools-or-tests',
      comment: 'What runs in production does not depend on what starts or tests it.',
      severity: 'error',
      from: { path: '^(packages|apps)/[^/]+/src/', pathNot: String.raw`\.(spec|e2e)\.tsx?$` },
      to: { path: ['^tools/', '^tests/', String.raw`\.(spec|e2e)\.tsx?$`] },
    },
    {
      name: 'web-lib-is-lowest',
      comment: 'lib <- ui <- features <- app: lib knows nobody above it.',
      severity: 'error',
      from: { path: '^apps/web/src/lib/' },
      to: { path: '^apps/web/src/(ui|features|app)/' },
    },
    {
      name: 'web-ui-knows-no-feature',
      comment: 'lib <- ui <- features <- app: a button does not know what it is pressed for.',
      severity: 'error',
      from: { path: '^apps/web/src/ui/' },
      to: { path: '^apps/web/src/(features|app)/' },
    },
    {
      name: 'web-features-know-no-app',
      comment: 'lib <- ui <- features <- app: only the app puts features together.',
      severity: 'error',
      from: { path: '^apps/web/src/features/' },
      to: { path: '^apps/web/src/app/' },
    },
    {
      name: 'web-no-feature-imports-a-feature',
      comment:
        'A feature can be changed or removed without looking at the others; what two of them need goes down to ui or lib.',
      severity: 'error',
      from: { path: '^apps/web/src/features/([^/]+)/' },
      to: { path: '^apps/web/src/features/([^/]+)/', pathNot: '^apps/web/src/features/$1/' },
    },
    {
      name: 'api-platform-knows-no-capability',
      comment: 'The platform (config, clock, db, http, auth, events) is below every capability.',
      severity: 'error',
      from: { path: '^apps/api/src/platform/' },
      to: { path: `^apps/api/src/${CAPABILITY}/` },
    },
    {
      name: 'api-controllers-reach-rows-through-a-service',
      comment: 'controller (parse, authorise, delegate) -> service (load, call calc, save) -> repository (rows).',
      severity: 'error',
      from: { path: String.raw`^apps/api/src/.*\.controller\.ts$` },
      to: { path: String.raw`^apps/api/src/.*\.repository\.ts$` },
    },
    {
      name: 'api-repositories-are-lowest',
      comment:
        'A repository turns rows into objects and back; it holds no order of work, so it calls no service or controller.',
      severity: 'error',
      from: { path: String.raw`^apps/api/src/.*\.repository\.ts$` },
      to: { path: String.raw`^apps/api/src/.*\.(service|controller)\.ts$` },
    },
    {
      name: 'api-services-know-no-controller',
      comment: 'The order of work does not depend on how it was asked for.',
      severity: 'error',
      from: { path: String.raw`^apps/api/src/.*\.service\.ts$` },
      to: { path: String.raw`^apps/api/src/.*\.controller\.ts$` },
    },
    {
      name: 'api-capabilities-use-no-foreign-controller',
      comment: 'One capability uses another by its service, never by its HTTP side.',
      severity: 'error',
      from: { path: '^apps/api/src/([^/]+)/', pathNot: String.raw`\.spec\.ts$` },
      to: { path: String.raw`^apps/api/src/([^/]+)/.*\.controller\.ts$`, pathNot: '^apps/api/src/$1/' },
    },
    {
      name: 'no-circular',
      comment:
        'A circle of files cannot be understood, tested or loaded one by one. Circles of types alone vanish when compiled.',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'own-imports-resolve',
      comment: 'An import of our own that leads nowhere would slip past every rule above.',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true, path: String.raw`^(\.|@frostmoot/)` },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: ['(^|/)dist(-types)?/', '^apps/api/src/generated/'] },
    tsPreCompilationDeps: true,
    combinedDependencies: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['source', 'import', 'browser', 'node', 'types', 'default'],
      extensions: ['.ts', '.tsx', '.mjs', '.js', '.json', '.d.ts'],
    },
  },
};

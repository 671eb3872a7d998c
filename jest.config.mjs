// One configuration for every tier; the tier is in the file name (see DEVELOPERS.md).
/** @type {import('jest').Config} */
export default {
  testEnvironment: 'node',
  globalSetup: '<rootDir>/tests/database/global-setup.mjs',
  globalTeardown: '<rootDir>/tests/database/global-teardown.mjs',
  testEnvironmentOptions: { customExportConditions: ['source', 'node', 'node-addons'] },
  roots: [
    '<rootDir>/packages',
    '<rootDir>/apps/api/src',
    '<rootDir>/apps/web/src',
    '<rootDir>/tests',
    '<rootDir>/tools',
  ],
  testMatch: ['**/*.spec.ts', '**/*.e2e.ts'],
  extensionsToTreatAsEsm: ['.ts', '.tsx'],
  transform: {
    '^.+\\.tsx?$': [
      '@swc/jest',
      {
        jsc: {
          parser: { syntax: 'typescript', tsx: false, decorators: true },
          transform: { legacyDecorator: true, decoratorMetadata: true },
          target: 'es2022',
          keepClassNames: true,
        },
        module: { type: 'es6' },
      },
    ],
  },
  modulePathIgnorePatterns: ['/dist/', '/dist-types/', '<rootDir>/dist'],
  // For what hangs; on a machine that is busy with other things a test may take many minutes.
  testTimeout: 900_000,
};

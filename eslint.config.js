import tseslint from 'typescript-eslint';

/** Type-aware rules for the sources; the tidy look is prettier's alone. */
export default tseslint.config(
  { ignores: ['**/dist/**', '**/node_modules/**', '**/*.js', '**/*.mjs'] },
  ...tseslint.configs.recommendedTypeChecked,
  {
    languageOptions: {
      parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname },
    },
    rules: {
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': [
        'error',
        { argsIgnorePattern: '^_', varsIgnorePattern: '^_' },
      ],
      '@typescript-eslint/switch-exhaustiveness-check': [
        'error',
        { considerDefaultExhaustiveForUnions: true },
      ],
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      eqeqeq: 'error',
    },
  },
  {
    // The library's main entry must run in a browser and stay silent.
    files: ['packages/core/src/**/*.ts'],
    ignores: ['packages/core/src/node.ts', 'packages/core/src/node/**'],
    rules: {
      'no-console': 'error',
      'no-restricted-imports': ['error', { patterns: ['node:*', '**/node.ts', '**/node/**'] }],
      'no-restricted-globals': ['error', 'process', 'Buffer', '__dirname', 'setImmediate'],
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'random', message: 'Take seededRandom from math.' },
        { object: 'Date', property: 'now', message: 'Time comes in as an argument.' },
      ],
    },
  },
);

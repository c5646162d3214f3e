import tseslint from 'typescript-eslint';
import { layerRule } from './tools/eslint-layer-rule.js';

export default tseslint.config(
  { ignores: ['dist', 'node_modules', '.runtime', '.cache', 'test/fixtures'] },
  ...tseslint.configs.recommended,
  {
    files: ['**/*.ts', '**/*.tsx'],
    plugins: { lapbench: { rules: { layers: layerRule } } },
    rules: {
      'lapbench/layers': 'error',
      'no-console': 'error',
      eqeqeq: 'error',
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_' }],
    },
  },
  { files: ['bench/**/*.ts', 'scripts/**', 'bin/**', 'tools/**'], rules: { 'no-console': 'off' } },
);

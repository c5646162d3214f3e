import path from 'node:path';
import { layerOf, mayImport } from './layers.js';

/** ESLint rule: imports run only in the direction of the map, type imports included. */
export const layerRule = {
  meta: {
    type: 'problem',
    schema: [],
    messages: { direction: '{{from}} must not import {{to}} (the layer rule, tools/layers.js).' },
  },
  create(context) {
    const from = layerOf(context.filename);
    if (!from) return {};
    const check = (node) => {
      const source = node.source?.value;
      if (typeof source !== 'string' || !source.startsWith('.')) return;
      const target = path.resolve(path.dirname(context.filename), source);
      const to = layerOf(target);
      if (to === null || mayImport(from, to, target)) return;
      context.report({ node, messageId: 'direction', data: { from, to } });
    };
    return {
      ImportDeclaration: check,
      ExportNamedDeclaration: check,
      ExportAllDeclaration: check,
      ImportExpression: check,
      TSImportType: (node) => check({ ...node, source: node.argument?.literal ?? node.source }),
    };
  },
};

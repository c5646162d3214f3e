/**
 * The layer rule: a file may import only from its own layer or a layer above it in the map
 * (ARCHITECTURE.md). Each entry names a layer and the layers it may import.
 */
export const layers = {
  'core/units': [],
  'core/evidence': ['core/units'],
  'core/physics': ['core/units'],
  'core/statistics': ['core/units'],
  'core/signal': ['core/units', 'core/evidence', 'core/statistics'],
  'core/structure': ['core/units', 'core/evidence', 'core/statistics'],
  'core/courses': ['core/units', 'core/evidence', 'core/physics', 'core/statistics'],
  'core/methods': [
    'core/units',
    'core/courses',
    'core/evidence',
    'core/physics',
    'core/statistics',
    'core/signal',
    'core/structure',
  ],
  // The generator of invented days: shares nothing with the estimator but units.
  simulation: ['core/units'],
  recordings: ['core/units', 'core/evidence'],
  sound: ['core/units', 'core/evidence'],
  sheets: ['core/units', 'core/evidence'],
  library: ['core/units', 'core/evidence'],
  figures: [],
  application: [
    'core/units',
    'core/evidence',
    'core/courses',
    'core/physics',
    'core/signal',
    'core/structure',
    'core/methods',
    'recordings',
    'sound',
    'sheets',
    'library',
    'simulation',
  ],
  'command-line': ['application', 'figures', 'server'],
  server: ['application', 'figures'],
  page: ['figures', 'application/contract'],
};

/** The layer a path under src/ belongs to, or null when it is outside src/. */
export function layerOf(path) {
  const after = path.replaceAll('\\', '/').split('/src/')[1];
  if (after === undefined) return null;
  const parts = after.split('/');
  return parts[0] === 'core' ? `core/${parts[1]}` : parts[0];
}

/** Whether a file of layer `from` may import the file `toPath` of layer `to`. */
export function mayImport(from, to, toPath) {
  if (from === to) return true;
  const allowed = layers[from];
  if (!allowed) return false;
  return allowed.some(
    (name) =>
      name === to || (name.includes('/') && toPath.replaceAll('\\', '/').includes(`/src/${name}`)),
  );
}

/** How the sounds of the demo are called, as files and in the library: known without making them. */

export const demoNoiseNames = {
  howl: 'howl.wav',
  free: 'plucks-free.wav',
  locked: 'plucks-locked.wav',
  wheel: 'howl-wheel.yaml',
  ride: 'howl-ride.csv',
} as const;

export const demoSoundTitles = {
  howl: 'Howling descent (invented)',
  free: 'Spokes of the howling wheel, brake free (invented)',
  locked: 'Spokes of the howling wheel, brake locked, 8 kg at 0.4 m (invented)',
  wheel: 'Front wheel that howls (invented)',
};

export function isDemoSound(title: string): boolean {
  return Object.values(demoSoundTitles).includes(title);
}

/** The areas of the page: days on the road, the bench, and sounds. */
export function AreaLinks({ here }: { here: 'days' | 'bench' | 'listen' }) {
  const areas = [
    { name: 'days', href: '#/', text: 'Test days' },
    { name: 'bench', href: '#/bench', text: 'Bench' },
    { name: 'listen', href: '#/listen', text: 'Listen' },
  ] as const;
  return (
    <nav class="areas" aria-label="Lapbench">
      {areas.map(({ name, href, text }) => (
        <a key={name} href={href} aria-current={here === name ? 'page' : undefined}>
          {text}
        </a>
      ))}
    </nav>
  );
}

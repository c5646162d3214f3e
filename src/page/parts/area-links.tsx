/** The two areas of the page: days on the road, and the bench. */
export function AreaLinks({ here }: { here: 'days' | 'bench' }) {
  const areas = [
    { name: 'days', href: '#/', text: 'Test days' },
    { name: 'bench', href: '#/bench', text: 'Bench' },
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

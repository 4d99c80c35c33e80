// Who: the code of the person at the screen, remembered by this browser for the next time.

const YEAR_S = 31536000;

export default function ({ data }) {
  const kept = `coreset_who=${encodeURIComponent(data.who)}; path=/; samesite=strict`;
  document.cookie = `${kept}; max-age=${data.who ? YEAR_S : 0}`;
}

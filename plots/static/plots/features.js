// The features of a GeoJSON, and what is said where they cannot be drawn.

export async function featuresAt(address, signal) {
  const answer = await fetch(address, { redirect: "error", signal });
  if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
  return (await answer.json()).features;
}

export function sayUndrawn(said, error) {
  said.textContent = `The map could not be drawn (${error.message}). The page has the same facts in writing.`;
  console.error(error);
}

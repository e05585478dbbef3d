// Ages and counts in words.

export const counted = (count, one, many) => `${count.toLocaleString("en-US")} ${count === 1 ? one : many}`;

// '3 h ago', '2 days ago'.
export function age(then, now = Date.now()) {
  const minutes = Math.max(0, Math.round((now - Date.parse(then)) / 60_000));
  if (minutes < 1) return "just now";
  if (minutes < 60) return `${minutes} min ago`;
  const hours = Math.round(minutes / 60);
  return hours < 48 ? `${hours} h ago` : `${Math.round(hours / 24)} days ago`;
}

// '7:40 this morning', 'yesterday at 7:40', 'Nov 21 at 7:40'.
export function moment(then, now = new Date()) {
  const at = new Date(then);
  const time = `${at.getHours()}:${String(at.getMinutes()).padStart(2, "0")}`;
  const daysAgo = Math.round((midnight(now) - midnight(at)) / 86_400_000);
  if (daysAgo === 0) return `${time} this ${at.getHours() < 12 ? "morning" : at.getHours() < 18 ? "afternoon" : "evening"}`;
  if (daysAgo === 1) return `yesterday at ${time}`;
  return `${at.toLocaleDateString("en-US", { month: "short", day: "numeric" })} at ${time}`;
}

const midnight = (at) => new Date(at.getFullYear(), at.getMonth(), at.getDate());

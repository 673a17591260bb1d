// A phrase of a sentence that is replaced by another.
import { h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";

type Props = {
  /** What it says, for those who do not see the sentence. */
  name: string;
  /** The phrase that stands there. */
  value: string;
  /** What may stand there: the word it is told by, and as it reads. The same list as long as nothing else may. */
  others: [string, string][];
  onReplace: (word: string) => void;
};

export function Phrase({ name, value, others, onReplace }: Props) {
  const options = useMemo(() => {
    const all = others.some(([word]) => word === value) ? others : [[value, value] as [string, string], ...others];
    return all.map(([word, reads]) => <option key={word} value={word} selected={word === value}>{reads}</option>);
  }, [value, others]);
  return (
    <select
      class="phrase"
      aria-label={name}
      value={value}
      onChange={(e: Event) => onReplace((e.currentTarget as HTMLSelectElement).value)}
    >
      {options}
    </select>
  );
}

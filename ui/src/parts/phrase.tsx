// A phrase of a sentence that is replaced by another.
import { h } from "../../vendor/preact.js";
import { useMemo } from "../../vendor/hooks.js";
import { point } from "../store/view.js";

type Props = {
  /** What it says, for those who do not see the sentence. */
  name: string;
  /** The phrase that stands there. */
  value: string;
  /** What may stand there: the word it is told by, and as it reads. The same list as long as nothing else may. */
  others: [string, string][];
  onReplace: (word: string) => void;
  /** Where it may be a piece: the word that a piece is told by. It is then pointed at, too. */
  pointed?: (piece: number) => string;
};

/** The word for whichever piece is pointed at. */
const POINT = "\u261e";

export function Phrase({ name, value, others, onReplace, pointed }: Props) {
  const options = useMemo(() => {
    const all = others.some(([word]) => word === value) ? others : [[value, value] as [string, string], ...others];
    return all.map(([word, reads]) => <option key={word} value={word} selected={word === value}>{reads}</option>);
  }, [value, others]);
  const replace = (e: Event) => {
    const select = e.currentTarget as HTMLSelectElement;
    const word = select.value;
    if (word !== POINT || !pointed) {
      onReplace(word);
      return;
    }
    select.value = value;
    point((piece) => onReplace(pointed(piece)));
  };
  return (
    <select
      class="phrase"
      aria-label={name}
      value={value}
      onChange={replace}
    >
      {pointed && <option value={POINT}>what is clicked next</option>}
      {options}
    </select>
  );
}

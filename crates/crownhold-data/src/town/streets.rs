//! Which street lies in which block: a table of three columns.

use crownhold::types::{BlockId, Problem};

use super::Street;

/// Reads `street, numbers, block` (numbers may be missing; columns in any order). With one fault nothing is taken.
///
/// # Errors
/// Every fault of the table, with its row and column.
pub fn read_streets(file: &str, bytes: &[u8], is_block: impl Fn(&str) -> bool) -> Result<Vec<Street>, Vec<Problem>> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let heads: Vec<String> = match reader.headers() {
        Ok(heads) => heads.iter().map(|h| h.trim_start_matches('\u{feff}').to_lowercase()).collect(),
        Err(e) => return Err(vec![fault(file, &format!("The table cannot be read: {e}."))]),
    };
    let column = |name: &str| heads.iter().position(|h| h == name);
    let (Some(name), Some(block)) = (column("street"), column("block")) else {
        return Err(vec![fault(file, "The columns \"street\" and \"block\" are not both there.")]);
    };
    let numbers = column("numbers");
    let (mut streets, mut problems) = (Vec::new(), Vec::new());
    for (line, row) in (2u64..).zip(reader.records()) {
        let Ok(row) = row.map_err(|e| problems.push(fault(file, &format!("A row cannot be read: {e}.")))) else {
            continue;
        };
        let cell = |at: Option<usize>| at.and_then(|at| row.get(at)).unwrap_or_default().to_owned();
        if cell(Some(name)).is_empty() {
            problems.push(fault(file, "The row names no street.").row(line).column("street"));
        } else if !is_block(&cell(Some(block))) {
            let what = format!("There is no block \"{}\".", cell(Some(block)));
            problems.push(fault(file, &what).row(line).column("block"));
        } else {
            let block = BlockId::new(cell(Some(block)));
            streets.push(Street { name: cell(Some(name)), numbers: cell(numbers), block });
        }
    }
    if problems.is_empty() && streets.is_empty() {
        problems.push(fault(file, "The table has no rows."));
    }
    if problems.is_empty() { Ok(streets) } else { Err(problems) }
}

fn fault(file: &str, what: &str) -> Problem {
    Problem::error("I-270", what, "Correct it and bring the table in again; the streets were left as they were.")
        .file(file)
}

#[cfg(test)]
mod tests {
    use super::read_streets;

    const IS_BLOCK: fn(&str) -> bool = |b| b == "A01" || b == "A02";

    #[test]
    fn columns_in_any_order() {
        let text = "\u{feff}Block,Street\nA02,\"Ferry Street, north\"\nA01, Heron Lane \n";
        let all = read_streets("s.csv", text.as_bytes(), IS_BLOCK).unwrap();
        assert_eq!((all[0].name.as_str(), all[1].name.as_str()), ("Ferry Street, north", "Heron Lane"));
        assert_eq!(all[0].numbers, "");
    }

    #[test]
    fn every_fault_with_its_row() {
        let text = "street,numbers,block\n,1-9,A01\nCask Street,,Z99\n";
        let faults = read_streets("s.csv", text.as_bytes(), IS_BLOCK).unwrap_err();
        let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert_eq!(faults.len(), 2);
        assert!(words[0].contains('2') && words[1].contains("Z99"), "{words:?}");
        assert!(read_streets("s.csv", b"name,where\na,b\n", IS_BLOCK).is_err());
        assert!(read_streets("s.csv", b"street,block\n", IS_BLOCK).is_err());
    }
}

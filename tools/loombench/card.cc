// loombench identify JOB --looks-only: a card for buying.
#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"
#include "identify.h"
#include "identify/words.h"
#include "page_sheet.h"

namespace loomproof::bench {
namespace {

using identify::Identification;
using Json = nlohmann::ordered_json;

// "whether plug C7 is there: absent" reads badly on a card.
std::string mark_words(const identify::Question& question, const std::string& answer) {
  return identify::reading_words({question, answer, {}});
}

class Card {
 public:
  Card(const Identification& identification, const BenchPart& part, const job::Job& job)
      : id_(identification), family_(identification.family()), part_(part), job_(job) {}

  void tell(Answer& answer) {
    page_ = &answer.page;
    json_ = {{"place", family_.text(family_.places[part_.place].id)}};
    page_->emplace_back(Heading{fmt::format("{}: what to see", family_.text(family_.places[part_.place].id)), 2});
    const CellSet due = job_.built.given() ? identify::cells_built_in(family_, month_of(job_.built.text)) : CellSet{};
    std::set<std::vector<size_t>> told;
    json_["variants"] = Json::array();
    for (size_t variant = 0; variant < id_.variants().size(); ++variant) {
      const identify::Marks marks = identify::marks_of(id_, variant);
      if (!told.insert(marks.alike).second) continue;
      one(marks, due);
    }
    answer.json["places"].push_back(std::move(json_));
  }

 private:
  void one(const identify::Marks& marks, const CellSet& due) {
    bool belongs = false;
    std::set<std::string> labels;
    for (size_t variant : marks.alike) {
      belongs = belongs || id_.variants()[variant].cells.meets(due);
      labels.insert(id_.sheets()[variant]->labels().begin(), id_.sheets()[variant]->labels().end());
    }
    const std::string name = group_words(id_, marks.alike);
    page_->emplace_back(
        Heading{name + (belongs ? fmt::format(" (belongs to a vehicle built {})", job_.built.text) : ""), 3});
    Facts facts;
    facts.add("Label", labels.empty() ? std::string("none is recorded")
                                      : fmt::format("{}; a label may be wrong", fmt::join(labels, " or ")));
    Grid grid{{{"See", true}, {"Seen"}}, {}};
    Json looks = Json::array();
    for (const auto& [question, answer] : marks.looks) {
      grid.rows.push_back({{mark_words(question, answer), std::string(box)}, {}});
      looks.push_back(mark_words(question, answer));
    }
    std::string beyond;
    const auto groups = groups_of(marks.alike);
    if (groups > 1) beyond = fmt::format("{} that differ where only a meter or a gauge tells", groups);
    facts.add("Together", beyond);
    if (grid.rows.empty())
      facts.add("Looks", id_.variants().size() == 1 ? "it is the only one recorded: looks tell it from no other"
                                                    : "nothing to be seen tells it from others");
    page_->emplace_back(std::move(facts));
    if (!grid.rows.empty()) page_->emplace_back(std::move(grid));
    json_["variants"].push_back({{"variant", name}, {"belongs", belongs}, {"labels", labels}, {"see", looks}});
  }

  size_t groups_of(const std::vector<size_t>& variants) const {
    std::set<std::vector<size_t>> groups;
    for (size_t variant : variants) groups.insert(id_.group_of(variant));
    return groups.size();
  }

  const Identification& id_;
  const Family& family_;
  const BenchPart& part_;
  const job::Job& job_;
  Page* page_ = nullptr;
  Json json_;
};

}  // namespace

Answer buying_card(const FamilyIndex& index, JobFile& file) {
  Answer answer;
  const Family& family = index.family();
  const std::string& title = file.job().title;
  answer.page.emplace_back(
      Heading{fmt::format("{}{}: card for buying", family.text(family.title), title.empty() ? "" : ", " + title)});
  answer.json["family"] = family.text(family.id);
  add_cautions(answer, family, {"always", "sheath"});
  answer.json["places"] = Json::array();
  Facts facts;
  facts.add("Use", "all that is listed under one has to be seen; what differs in one point is another, or was altered");
  facts.add("Mind",
            "seen is not proven: a loom that looks right may be cut, mended or bridged inside. Ask for a photograph "
            "of each plug from the wire side, and of the label");
  answer.page.emplace_back(std::move(facts));
  for (const BenchPart& part : bench_parts(index, file)) {
    const Identification identification(index, part.place, rates_of(file.job()), part.found, costs_of(file.job()));
    Card(identification, part, file.job()).tell(answer);
  }
  return answer;
}

}  // namespace loomproof::bench

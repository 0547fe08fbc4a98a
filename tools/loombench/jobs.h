// The user's job file, as the commands take it with --job: its parts and as-found edits, with the text behind each, so
// that what is wrong with it is told with line and column.
#pragma once
#include <string>
#include <vector>

#include "answer.h"
#include "fitting.h"
#include "job/job.h"

namespace loomproof::bench {

// Findings in a job file, rendered: several lines, exit status 2.
struct JobFaults : std::runtime_error {
  using std::runtime_error::runtime_error;
};

class JobFile {
 public:
  // Throws EnvironmentError where the file cannot be read, JobFaults where it is no job.
  explicit JobFile(const std::string& path);

  const job::Job& job() const { return job_; }
  Report& report() { return report_; }
  // Throws JobFaults where the report has errors.
  void stop_at_faults();
  // Does what may throw a UsageError, and turns that into a finding at the text.
  template <typename Do>
  void told_at(const job::Text& text, Do&& what) {
    try {
      what();
    } catch (const UsageError& error) {
      report_.add<Rule::bad_form>(text.span, text.text, std::string("cannot be: ") + error.what());
    }
  }

 private:
  Sources sources_;
  Report report_;
  job::Job job_;
};

// The family that is meant: the job's, which the command line may repeat. Throws UsageError where they differ.
std::string family_of(const JobFile& file, const std::string& said);
// Adds the job's parts and edits to what the command line says. Throws JobFaults where they cannot be.
void add_job(const Family& family, JobFile& file, FitChoice& choice);
// Takes place, --from and edits of the loom in hand from the job where the command line leaves them out.
void add_job(const Family& family, JobFile& file, RepinChoice& choice);

}  // namespace loomproof::bench
